// Pinocchio's forwardKinematics on the tree of bench::hand(); prints the nanoseconds that
// as many calls as the argument says take, every joint changed before each.
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>
#include <pinocchio/algorithm/kinematics.hpp>
#include <pinocchio/multibody.hpp>

int main(int, char **arguments) {
    namespace pin = pinocchio;
    pin::Model model;
    auto place = [](Eigen::Vector3d at, Eigen::Vector3d turn) {
        const double angle = turn.norm();
        const Eigen::Vector3d axis = angle > 0 ? Eigen::Vector3d(turn / angle) : Eigen::Vector3d::UnitX();
        return pin::SE3(Eigen::AngleAxisd(angle, axis).toRotationMatrix(), at);
    };
    const auto wrist = model.addJoint(0, pin::JointModelRZ(), place({0, 0, 0}, {0, 0, 0}), "j0");
    for (int digit = 0; digit < 5; ++digit) {
        auto parent = wrist;
        for (int joint = 0; joint < 5; ++joint) {
            const double aside = 20.0 * (digit - 2.0);
            const Eigen::Vector3d at = joint == 0 ? Eigen::Vector3d(60, aside, 4) : Eigen::Vector3d(40 - 5.0 * joint, 1, -0.5);
            parent = model.addJoint(parent, pin::JointModelRZ(), place(at, {0.1 * aside / 20, 0.05, 0.2}),
                                    "j" + std::to_string(model.njoints));
        }
    }
    pin::Data data(model);
    std::vector<Eigen::VectorXd> frames(64, Eigen::VectorXd(model.nq));
    for (int frame = 0; frame < 64; ++frame)
        for (int joint = 0; joint < model.nq; ++joint)
            frames[frame][joint] = 0.01 * ((frame * 7 + joint * 13) % 97);

    const long count = std::atol(arguments[1]);
    double sum = 0;
    const auto start = std::chrono::steady_clock::now();
    for (long call = 0; call < count; ++call) {
        pin::forwardKinematics(model, data, frames[call % 64]);
        sum += data.oMi[26].translation()[0];
    }
    const auto stop = std::chrono::steady_clock::now();
    std::fprintf(stderr, "%g\n", sum);
    std::printf("%lld\n", (long long)std::chrono::duration_cast<std::chrono::nanoseconds>(stop - start).count());
}
