//! Forward kinematics of a hand's 26 joints: ours, the `k` crate, Pinocchio's C++.
use bench::{hand, ours, peers};
use criterion::{Criterion, criterion_group, criterion_main};
use kinematics::{Channel, Mechanism};
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

/// Turns of the 26 joints in frame `frame`: all of them change.
fn turns(frame: u64) -> [f64; 26] {
    std::array::from_fn(|joint| 0.01 * ((frame * 7 + joint as u64 * 13) % 97) as f64)
}

fn forward(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("forward kinematics, 26 joints");
    group
        .warm_up_time(Duration::from_millis(500))
        .measurement_time(Duration::from_secs(2));
    let frames: Vec<_> = (0..64).map(turns).collect();

    let mechanism = Mechanism::new(ours(&hand()), vec![]).expect("a sound mechanism");
    let mut pose = mechanism.pose();
    let mut frame = 0;
    group.bench_function("ours, every dial changed", |bencher| {
        bencher.iter(|| {
            frame = (frame + 1) % 64;
            for (joint, &turn) in frames[frame].iter().enumerate() {
                pose.set_channel(joint, Channel::TurnZ, turn);
            }
            mechanism.evaluate_all(&mut pose);
            black_box(pose.world(25));
        });
    });
    group.bench_function("ours, no dial changed", |bencher| {
        bencher.iter(|| {
            mechanism.evaluate_all(&mut pose);
            black_box(pose.world(25));
        });
    });

    let (chain, _) = peers(&hand(), false);
    // Placed alike, or the times would not compare.
    chain.set_joint_positions_unchecked(&frames[5]);
    let theirs = chain.update_transforms();
    for (joint, &turn) in frames[5].iter().enumerate() {
        pose.set_channel(joint, Channel::TurnZ, turn);
    }
    mechanism.evaluate(&mut pose);
    for (joint, node) in chain.iter().enumerate() {
        let index: usize = node.joint().name[1..].parse().expect("named by index");
        let ours = pose.world(index).translation.vector;
        let gap =
            (0..3).map(|axis| (theirs[joint].translation.vector[axis] * 1000.0 - ours[axis]).abs());
        assert!(
            gap.fold(0.0, f64::max) < 1e-10,
            "joint {index} stands elsewhere"
        );
    }
    group.bench_function("k", |bencher| {
        bencher.iter(|| {
            frame = (frame + 1) % 64;
            chain.set_joint_positions_unchecked(&frames[frame]);
            black_box(chain.update_transforms());
        });
    });

    match pinocchio() {
        Ok(program) => {
            group.bench_function("Pinocchio, C++", |bencher| {
                bencher.iter_custom(|count| {
                    let output = Command::new(&program)
                        .arg(count.to_string())
                        .output()
                        .expect("the program just built");
                    let nanoseconds = String::from_utf8_lossy(&output.stdout)
                        .trim()
                        .parse()
                        .expect("it prints a number");
                    Duration::from_nanos(nanoseconds)
                });
            });
        }
        Err(why) => println!("Pinocchio left out: {why}"),
    }
    group.finish();
}

/// Builds the C++ contender against the headers of the Python packages `pin` and
/// `cmeel-eigen` (or the system's Eigen).
fn pinocchio() -> Result<PathBuf, String> {
    let python = std::env::var_os("HANDSTAND_PYTHON").ok_or("HANDSTAND_PYTHON is not set")?;
    let find = "import pinocchio, pathlib; print(next(p for p in pathlib.Path(pinocchio.__file__).parents if p.name == 'cmeel.prefix'))";
    let found = Command::new(python)
        .args(["-c", find])
        .output()
        .map_err(|error| error.to_string())?;
    let prefix = PathBuf::from(String::from_utf8_lossy(&found.stdout).trim());
    let eigen = [
        prefix.join("include/eigen3"),
        PathBuf::from("/usr/include/eigen3"),
    ];
    let eigen = eigen
        .iter()
        .find(|path| path.is_dir())
        .ok_or("no Eigen headers: install cmeel-eigen beside pin")?;
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/pinocchio.cpp");
    let program = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pinocchio-forward");
    let library = prefix.join("lib");
    let built = Command::new("c++")
        // The two names are what its own CMake files set for its list of joints.
        .args([
            "-std=c++17",
            "-O3",
            "-DNDEBUG",
            "-w",
            "-DBOOST_MPL_LIMIT_LIST_SIZE=30",
            "-DBOOST_MPL_CFG_NO_PREPROCESSED_HEADERS",
        ])
        .arg("-I")
        .arg(prefix.join("include"))
        .arg("-I")
        .arg(eigen)
        .arg(source)
        .arg("-o")
        .arg(&program)
        .arg("-L")
        .arg(&library)
        .arg(format!("-Wl,-rpath,{}", library.display()))
        .args(["-lpinocchio_default", "-lboost_serialization"])
        .output()
        .map_err(|error| format!("c++: {error}"))?;
    if built.status.success() {
        Ok(program)
    } else {
        Err(String::from_utf8_lossy(&built.stderr).into_owned())
    }
}

criterion_group!(benches, forward);
criterion_main!(benches);
