//! Lesson 4, step 1: the pivot is built, and each way of building it wrong is told.
use crate::common::*;
use course::finding::Kind;
use course::{Attempt, Hang, Lesson, Mark, Put, Rung, Task, build};
use rig::fault::Explain;
use rig::{Document, Edit, Grip, History, Posed, Refusal, Vec3};

const JOINTS: [&str; 4] = ["wrist", "knuckle", "finger", "tip"];

/// The step's figure with its past, as the page holds it.
struct Bench {
    history: History,
    task: Task,
}

impl Bench {
    fn new(lesson: &Lesson) -> Self {
        let (document, task) = step(lesson, 0);
        let history = History::new(Posed::new(&document).unwrap());
        Self { history, task }
    }

    fn acts(&self) -> (&Put, &Hang) {
        let acts = self.task.acts();
        (build::put_of(acts).unwrap(), build::hang_of(acts).unwrap())
    }

    fn put(&mut self, x: f64, y: f64) {
        let task = self.task.clone();
        let put = build::put_of(task.acts()).unwrap();
        let at = Vec3::new(x, y, 0.0);
        let change = |_: &Posed, to: &mut Document| build::put(to, task.acts(), put, at);
        self.history.change::<Refusal>(change).unwrap();
    }

    fn hang(&mut self, under: &str) -> Result<(), Refusal> {
        let task = self.task.clone();
        let hang = build::hang_of(task.acts()).unwrap();
        let under = self.document().node_named(under).unwrap().id;
        self.history
            .change(|_, to| build::hang(to, task.acts(), hang, under))
    }

    fn lift(&mut self, to: f64) {
        let values = vec![(dial(self.document(), "lift"), to)];
        self.history.edit(&Edit::SetDials { values }).unwrap();
    }

    fn document(&self) -> &Document {
        self.history.document()
    }

    fn check(&self) -> Mark {
        course::check(self.history.posed(), &self.task, &Attempt::default()).unwrap()
    }

    fn done(&self) -> Vec<bool> {
        self.check().findings.iter().map(|it| it.ok()).collect()
    }

    /// What the last finding says, rung by rung.
    fn told(&self) -> [String; 3] {
        let mark = self.check();
        assert!(!mark.passed, "{mark:#?}");
        let last = mark.findings.last().unwrap().clone();
        [Rung::Where, Rung::Way, Rung::Number].map(|rung| last.told(rung))
    }

    fn built(lesson: &Lesson, x: f64, y: f64) -> Self {
        let mut bench = Self::new(lesson);
        bench.put(x, y);
        bench.hang("mount").unwrap();
        bench.lift(40.0);
        bench
    }
}

/// L5: the step begins without a pivot, and none is swapped in: it is the learner's own.
#[test]
fn l5_the_pivot_is_the_learners_own() {
    let mut bench = Bench::new(&lesson(4));
    let document = bench.document();
    assert!(document.node_named("knuckle pivot").is_none());
    assert!(document.node_named("mount").is_none());
    assert_eq!(document.node_named("wrist").unwrap().parent, None);
    assert!(document.dial_named("lift").unwrap().drives.is_empty());
    assert_eq!(
        document.anchors.len(),
        3,
        "three staples stand on the bench"
    );
    assert_eq!(bench.told()[0], "No mount is put yet.");
    assert_eq!(bench.done(), [false]);

    bench.put(0.0, 0.0);
    assert_eq!(bench.done(), [true, false]);
    says(&bench.check(), "At the knuckle, 0.0 mm.");
    assert_eq!(bench.told()[0], "The wrist hangs from nothing yet.");
    let mount = bench.document().node_named("mount").unwrap();
    let bed = bench.document().node(mount.parent.unwrap()).unwrap();
    assert_eq!(bed.name, "bench");

    let before = JOINTS.map(|name| point(bench.history.posed(), name));
    bench.hang("mount").unwrap();
    for (name, was) in JOINTS.into_iter().zip(before) {
        close(
            (point(bench.history.posed(), name) - was).norm(),
            0.0,
            1e-12,
        );
    }
    assert_eq!(bench.done(), [true, true, false]);
    says(&bench.check(), "the greatest move of 4 joints is 0.00 mm");
    assert_eq!(bench.told()[0], "Lift to 40°: it stands 0°.");
    let lift = bench.document().dial_named("lift").unwrap();
    assert_eq!((lift.min, lift.max, lift.drives.len()), (-15.0, 75.0, 1));
    let wrist = bench.document().node_named("wrist").unwrap();
    assert_eq!(wrist.grip, Grip::Dials(vec![lift.id]));

    bench.lift(39.8);
    assert_eq!(bench.told()[0], "Lift to 40°: it stands 39.8°.");
    bench.lift(40.0);
    let mark = bench.check();
    assert!(mark.passed, "{mark:#?}");
    // The chord of a circle: 2·r·sin(θ/2), with r the palm's 90 mm.
    let Kind::Turned { travel, slip, .. } = &mark.findings[2].kind else {
        panic!("{mark:#?}")
    };
    close(*travel, 2.0 * 90.0 * sin(20.0), 1e-10);
    close(slip.value, 0.0, 1e-10);
    says(
        &mark,
        "At 40° the wrist was 61.6 mm from rest; worst slip on the way 0.00 mm.",
    );
    // Farther is reached as well, and however the anchors were left.
    bench.lift(75.0);
    assert!(bench.check().passed);
    let mut loose = bench.document().setting.clone();
    loose.active.fill(false);
    bench.history.edit(&Edit::Set { setting: loose }).unwrap();
    assert!(bench.check().passed);
}

#[test]
fn each_act_is_one_step_of_undo() {
    let mut bench = Bench::built(&lesson(4), 0.0, 0.0);
    let labels = ["hang the wrist from the mount", "put the mount"];
    bench.history.undo().unwrap();
    assert_eq!(bench.done(), [true, true, false]);
    assert_eq!(bench.history.undo().as_deref(), Some(labels[0]));
    assert_eq!(bench.done(), [true, false]);
    let lift = bench.document().dial_named("lift").unwrap();
    assert!(
        lift.drives.is_empty(),
        "the dial hung itself with the wrist"
    );
    assert_eq!(bench.history.undo().as_deref(), Some(labels[1]));
    assert_eq!(bench.done(), [false]);
    assert_eq!(bench.history.undo_label(), None);
    for _ in 0..3 {
        bench.history.redo().unwrap();
    }
    assert!(bench.check().passed);
}

#[test]
fn what_the_wrist_carries_cannot_carry_it() {
    let lesson = lesson(4);
    let mut bench = Bench::new(&lesson);
    for under in ["knuckle", "finger", "tip"] {
        let before = bench.document().clone();
        let refusal = bench.hang(under).unwrap_err();
        let why = format!("the wrist carries the {under}, so the {under} cannot carry the wrist");
        assert_eq!(refusal.why(), why);
        assert_eq!(*bench.document(), before);
    }
    let mend = "Put a mount where the knuckle is; hang the wrist from that.";
    assert_eq!(bench.acts().1.mend, mend);
    assert!(bench.hang("wrist").is_err());
    // The bench and the staples may, and turn nothing: said before there is a mount as well.
    bench.hang("bench").unwrap();
    assert_eq!(bench.done(), [false, false]);
    says(&bench.check(), "the bench does not turn");
    for under in ["bench", "knuckle target"] {
        bench.put(0.0, 0.0);
        bench.hang(under).unwrap();
        assert_eq!(bench.done(), [true, false]);
        let said = format!("The wrist hangs from the {under}; the {under} does not turn.");
        assert_eq!(bench.told()[0], said);
        bench.lift(40.0);
        close(
            travel(bench.document(), "wrist", &[("lift", 0.0)]),
            0.0,
            0.0,
        );
    }
    bench.hang("mount").unwrap();
    assert_eq!(bench.done(), [true, true, false]);
    bench.lift(40.0);
    assert!(bench.check().passed);
}

/// Numbers: a point at r from what it turns about goes 2·r·sin(θ/2), anchors let go; with them on,
/// the slip is | |wrist − knuckle| − 90 |, by the cosine rule.
#[test]
fn a_mount_out_of_place_is_told_rung_by_rung() {
    let lesson = lesson(4);
    let first = "Let the anchors go and lift: the knuckle leaves its mark.";
    for (x, y, ways, number) in [
        (
            40.0,
            0.0,
            "too far towards the fingertips",
            "27.36 mm = 2·40·sin 20°: 40 mm",
        ),
        (
            -6.0,
            0.0,
            "too far towards the wrist",
            "4.10 mm = 2·6·sin 20°: 6 mm",
        ),
        (0.0, 6.0, "too high", "4.10 mm = 2·6·sin 20°: 6 mm"),
        (0.0, -12.0, "too low", "8.21 mm = 2·12·sin 20°: 12 mm"),
        (
            3.0,
            4.0,
            "too high and too far towards the fingertips",
            "3.42 mm = 2·5·sin 20°: 5 mm",
        ),
        (
            80.0,
            0.0,
            "too far towards the fingertips",
            "54.72 mm = 2·80·sin 20°: 80 mm",
        ),
    ] {
        let bench = Bench::built(&lesson, x, y);
        let told = bench.told();
        let way = format!("The mount stands {ways}.");
        let number = format!("The mark moves {number} {ways}.");
        assert_eq!(told, [first, &way, &number]);
        let mark = bench.check();
        let Kind::Strays {
            moved, off, slip, ..
        } = &mark.findings[2].kind
        else {
            panic!("{mark:#?}")
        };
        close(*off, (x * x + y * y).sqrt(), 1e-12);
        close(*moved, 2.0 * off * sin(20.0), 1e-10);
        let (dx, dy) = (-90.0 - x, -y);
        let (wx, wy) = (
            x + dx * cos(40.0) + dy * sin(40.0),
            y - dx * sin(40.0) + dy * cos(40.0),
        );
        let end = ((wx * wx + wy * wy).sqrt() - 90.0).abs();
        assert!(
            slip.value >= end - 1e-9,
            "{} at {x}, {y}: {end}",
            slip.value
        );
        // Moved to where it belongs it holds, without another hanging.
        let mut bench = bench;
        bench.put(0.0, 0.0);
        assert_eq!(bench.done(), [true, true, false], "it went back to rest");
        bench.lift(40.0);
        assert!(bench.check().passed);
    }
}

/// What the study says of it: anchors on, a mount at the finger showed 12.6 mm.
#[test]
fn anchors_on_a_mount_at_the_finger_slips_less_than_its_mark_moves() {
    let bench = Bench::built(&lesson(4), 40.0, 0.0);
    let Kind::Strays { slip, .. } = &bench.check().findings[2].kind else {
        panic!()
    };
    // |(40, 0) + 130·(−cos 40°, sin 40°)| = 102.6, and the palm is 90.
    let (x, y) = (40.0 - 130.0 * cos(40.0), 130.0 * sin(40.0));
    close(slip.value, (x * x + y * y).sqrt() - 90.0, 1e-9);
    close(slip.value, 12.6, 0.05);
}

#[test]
fn a_mount_at_the_wrist_slips_nothing_and_lifts_nothing() {
    let bench = Bench::built(&lesson(4), -90.0, 0.0);
    says(&bench.check(), "At the wrist, 0.0 mm.");
    let said = "No slip, but the wrist has not moved: the mount stands in it.";
    assert_eq!(bench.told(), [said; 3]);
    let Kind::Still { slip, travel, .. } = &bench.check().findings[2].kind else {
        panic!()
    };
    close(slip.value, 0.0, 1e-10);
    close(*travel, 0.0, 1e-10);
}

#[test]
fn a_mount_near_a_joint_says_how_near() {
    let lesson = lesson(4);
    for (x, y, said) in [
        (4.0, 0.0, "4.0 mm from the knuckle."),
        (34.0, 0.0, "6.0 mm from the finger."),
        (-45.0, 30.0, "54.1 mm from the "),
    ] {
        let mut bench = Bench::new(&lesson);
        bench.put(x, y);
        says(&bench.check(), said);
    }
    // Within a tenth of a millimetre's slip it holds.
    assert!(Bench::built(&lesson, 0.1, 0.0).check().passed);
    assert!(!Bench::built(&lesson, 0.0, 0.5).check().passed);
}

/// Put twice, hung twice, hung elsewhere in mid-lift: there is one mount, and rest is rest.
#[test]
fn off_the_path_nothing_doubles_and_nothing_jumps() {
    let mut bench = Bench::built(&lesson(4), 40.0, 0.0);
    bench.put(-6.0, 0.0);
    bench.put(0.0, 0.0);
    let mounts = bench.document().nodes.iter();
    assert_eq!(
        mounts.filter(|node| node.name.starts_with("mount")).count(),
        1
    );
    bench.hang("mount").unwrap();
    bench.hang("mount").unwrap();
    let lift = bench.document().dial_named("lift").unwrap();
    assert_eq!(lift.drives.len(), 1);
    bench.lift(40.0);
    assert!(bench.check().passed);
    bench.hang("bench").unwrap();
    let value = bench.document().value(dial(bench.document(), "lift"));
    assert_eq!(value, Some(0.0));
    for (name, x) in JOINTS.into_iter().zip([-90.0, 0.0, 40.0, 80.0]) {
        let off = point(bench.history.posed(), name) - Vec3::new(x, 0.0, 0.0);
        close(off.norm(), 0.0, 1e-10);
    }
    let wrist = bench.document().node_named("wrist").unwrap();
    assert_eq!(wrist.grip, Grip::None);
    bench.hang("mount").unwrap();
    bench.lift(40.0);
    assert!(bench.check().passed);
}

/// A file of the half-built figure comes back as it was, its dial without a drive too.
#[test]
fn half_built_it_outlives_a_reload() {
    let mut bench = Bench::new(&lesson(4));
    for _ in 0..2 {
        let text = rig::write(bench.document());
        let read = hand::read(&text).unwrap();
        assert_eq!(rig::write(&read), text);
        let done = bench.done();
        bench.history = History::new(Posed::new(&read).unwrap());
        assert_eq!(bench.done(), done);
        bench.put(0.0, 0.0);
    }
    bench.hang("mount").unwrap();
    let read = hand::read(&rig::write(bench.document())).unwrap();
    bench.history = History::new(Posed::new(&read).unwrap());
    bench.lift(40.0);
    assert!(bench.check().passed);
}
