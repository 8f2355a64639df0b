//! Building: how far its acts are, in lines; and where a mount would be put, at the joint that is
//! pressed or where the press was.
use course::build::{AT, rested};
use course::finding::Kind as Found;
use course::{Act, Finding};
use figure::View;
use rig::{Kind, NodeId, Posed, Vec3};

/// An act as the page has it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    pub title: String,
    /// Done already.
    pub done: bool,
    /// To be done now.
    pub now: bool,
    /// What was found of it.
    pub told: Option<String>,
    /// How it is done, while it is to be done.
    pub how: String,
}

/// A line for each act. `found`: what is found of those done and of the first that is not; `taken`:
/// what is in the hand already.
pub fn lines(acts: &[Act], found: &[Finding], taken: Option<String>) -> Vec<Line> {
    let done = found.iter().filter(|it| it.ok()).count();
    let mut taken = taken;
    let line = |(at, act): (usize, &Act)| {
        // Hung from something else: said, for it is allowed.
        let worth =
            |it: &&Finding| it.ok() || matches!(it.kind, Found::NotHung { under: Some(_), .. });
        let now = at == done;
        let how = now.then(|| taken.take().unwrap_or_else(|| act.how().into()));
        Line {
            title: act.title().into(),
            done: at < done,
            now,
            told: found.get(at).filter(worth).map(Finding::to_string),
            how: how.unwrap_or_default(),
        }
    };
    acts.iter().enumerate().map(line).collect()
}

/// A finger's half width, px: a press this near to a joint means it.
const FINGER: f64 = 22.0;
/// Where no joint is meant, places are whole half millimetres.
const GRID: f64 = 0.5;

/// A place for a mount.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// The joint that is meant.
    pub joint: Option<NodeId>,
    /// World mm; a joint's own place at rest, for the mount is put at rest.
    pub at: Vec3,
    /// 'at the knuckle, 0.0 mm'
    pub said: String,
}

/// The place meant by a point of the picture, which is a world point in some depth.
pub fn spot(posed: &Posed, view: &View, at: Vec3) -> Spot {
    let seen = |point: &Vec3| {
        let (x, y, _) = view.project(point);
        (x, y)
    };
    let (x, y) = seen(&at);
    let apart = |point: &Vec3| {
        let (px, py) = seen(point);
        libm::hypot(px - x, py - y)
    };
    // Lifted, a joint may have slipped: it is meant where it is seen, and where it rests.
    let resting = rested(posed);
    let off = |id: NodeId| apart(&posed.point(id)).min(apart(&resting.point(id)));
    let joints = posed.rig().nodes.iter();
    let joints = joints.filter(|node| node.kind == Kind::Joint && !node.hidden);
    let nearest = joints
        .map(|node| (off(node.id), node))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let Some((off, node)) = nearest else {
        let at = on_grid(at);
        let said = String::new();
        return Spot {
            joint: None,
            at,
            said,
        };
    };
    let name = &node.name;
    if off <= (AT * view.scale).max(FINGER) {
        return Spot {
            joint: Some(node.id),
            at: resting.point(node.id),
            said: format!("at the {name}, 0.0 mm"),
        };
    }
    let at = on_grid(at);
    let far = (resting.point(node.id) - at).norm();
    Spot {
        joint: None,
        at,
        said: format!("{far:.1} mm from the {name}"),
    }
}

fn on_grid(at: Vec3) -> Vec3 {
    at.map(|v| (v / GRID).round() * GRID)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::unframed;

    #[test]
    fn what_is_done_is_told_and_what_is_to_be_done_says_how() {
        let text = include_str!("../../../lessons/04-pivot-above.lesson.json");
        let lesson = course::read(text).expect("a good lesson");
        let step = &lesson.steps[0];
        let acts = step.task.acts();
        let mut document = lesson.figure(step).document().clone();
        let line = |document: &rig::Document, at: usize| {
            let posed = Posed::new(document).expect("sound");
            let found = course::build::findings(&posed, &acts[..2]).expect("all there");
            lines(acts, &found, None)[at].clone()
        };
        assert!(line(&document, 0).now && line(&document, 1).how.is_empty());
        let bench = document.node_named("bench").expect("there").id;
        let hang = course::build::hang_of(acts).expect("one");
        let put = course::build::put_of(acts).expect("one");
        course::build::put(&mut document, acts, put, Vec3::zeros()).expect("put");
        course::build::hang(&mut document, acts, hang, bench).expect("hung");
        let (first, second) = (line(&document, 0), line(&document, 1));
        assert_eq!(first.told.as_deref(), Some("At the knuckle, 0.0 mm."));
        assert!(first.done && first.how.is_empty() && second.now && !second.done);
        let told = "The wrist hangs from the bench; the bench does not turn.";
        assert_eq!(second.told.as_deref(), Some(told));
        assert_eq!(second.how, acts[1].how());
    }

    #[test]
    fn a_press_near_a_joint_means_it_and_another_its_own_place() {
        let text = include_str!("../../../lessons/04-pivot-above.lesson.json");
        let lesson = course::read(text).expect("a good lesson");
        let posed = lesson.figure(&lesson.steps[0]);
        let view = unframed();
        let knuckle = posed.rig().node_named("knuckle").expect("there").id;
        let near = spot(posed, &view, Vec3::new(6.5, 1.0, 0.0));
        assert_eq!((near.joint, near.at), (Some(knuckle), Vec3::zeros()));
        assert_eq!(near.said, "at the knuckle, 0.0 mm");
        let apart = spot(posed, &view, Vec3::new(12.1, 0.2, 0.0));
        assert_eq!((apart.joint, apart.at), (None, Vec3::new(12.0, 0.0, 0.0)));
        assert_eq!(apart.said, "12.0 mm from the knuckle");
        // Slipped in mid-lift, the knuckle is meant by its staple too.
        let step = &lesson.steps[0];
        let acts = step.task.acts();
        let mut document = posed.document().clone();
        let put = course::build::put_of(acts).expect("one");
        let hang = course::build::hang_of(acts).expect("one");
        course::build::put(&mut document, acts, put, Vec3::new(40.0, 0.0, 0.0)).expect("put");
        let mount = document.node_named("mount").expect("put").id;
        course::build::hang(&mut document, acts, hang, mount).expect("hung");
        let dial = document.dial_named("lift").expect("there").id;
        document.set_value(dial, 41.0);
        let lifted = Posed::new(&document).expect("sound");
        assert!(lifted.point(knuckle).norm() > 10.0);
        for at in [Vec3::new(-1.0, 2.0, 0.0), lifted.point(knuckle)] {
            let meant = spot(&lifted, &view, at);
            assert_eq!((meant.joint, meant.at), (Some(knuckle), Vec3::zeros()));
        }
        // Far out 6 mm are few pixels, and a finger is no narrower.
        let out = View { scale: 1.0, ..view };
        let wide = spot(posed, &out, Vec3::new(-70.0, 0.0, 0.0));
        assert_eq!(wide.at, Vec3::new(-90.0, 0.0, 0.0));
    }
}
