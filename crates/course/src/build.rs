//! Building: what each act does to the rig, and what is measured of it.
use crate::act::{Act, Hang, Put, Turn};
use crate::finding::{At, Finding, Kind, Part};
use crate::measure::Run;
use crate::obstacle::Obstacle;
use hand::Gauge;
use motion::Motion;
use rig::edit::apply;
use rig::{
    Channel, Dial, DialId, Document, Drive, Edit, Grip, Kind as Node, NodeId, OwnAxis, Posed,
    Refusal, Shared, Target, Vec3, few,
};

/// A mount within this of a joint is at it, mm.
pub const AT: f64 = 6.0;
/// What moves less has not moved, mm.
const UNMOVED: f64 = 0.005;
/// A dial this near to its goal has reached it, in its unit: half of what is shown of it.
const REACHED: f64 = 0.05;

/// Every act's finding in their order, up to the first that is not done; and after that what hangs
/// from something else already, for it is allowed.
///
/// # Errors
/// When a node or dial of the figure's own is gone.
pub fn findings(posed: &Posed, acts: &[Act]) -> Result<Vec<Finding>, Obstacle> {
    let mut found: Vec<Finding> = Vec::new();
    for act in acts {
        if !found.iter().all(Finding::ok) {
            if let Act::Hang(hang) = act {
                let kind = hangs(posed, hang)?;
                let elsewhere = matches!(kind, Kind::NotHung { under: Some(_), .. });
                let part = Part::Whole;
                found.extend(elsewhere.then_some(Finding { part, kind }));
            }
            break;
        }
        let kind = match act {
            Act::Put(put) => stands(posed, put)?,
            Act::Hang(hang) => hangs(posed, hang)?,
            Act::Turn(turn) => turns(posed, acts, turn)?,
        };
        let part = Part::Whole;
        found.push(Finding { part, kind });
    }
    Ok(found)
}

/// Whether the last act is reached, whatever comes of it: then it is time to check.
pub fn is_reached(posed: &Posed, acts: &[Act]) -> bool {
    findings(posed, acts).is_ok_and(|all| {
        let last = all.last().filter(|_| all.len() == acts.len());
        last.is_some_and(|it| !matches!(it.kind, Kind::NotTurned { .. }))
    })
}

/// The act that hangs something.
pub fn hang_of(acts: &[Act]) -> Option<&Hang> {
    acts.iter().find_map(|act| match act {
        Act::Hang(hang) => Some(hang),
        _ => None,
    })
}

/// The act that puts a mount.
pub fn put_of(acts: &[Act]) -> Option<&Put> {
    acts.iter().find_map(|act| match act {
        Act::Put(put) => Some(put),
        _ => None,
    })
}

/// Puts the mount at a world place, or moves it there if it is put already; what hangs from it keeps
/// its place at rest. The dial that turns it goes back to neutral. Gives the step's name.
///
/// # Errors
/// When what it would hang from is gone.
pub fn put(to: &mut Document, acts: &[Act], put: &Put, at: Vec3) -> Result<String, Refusal> {
    rest(to, acts)?;
    if let Some(node) = id(to, &put.mount) {
        apply(to, &Edit::MovePivot { node, to: at })?;
        return Ok(format!("move the {}", put.mount));
    }
    let (name, kind, width) = (put.mount.clone(), Node::Mount, 0.0);
    let parent = id(to, &put.under);
    apply(
        to,
        &Edit::AddNode {
            name,
            kind,
            parent,
            at,
            width,
        },
    )?;
    if let Some(node) = id(to, &put.mount) {
        let grip = Grip::Place([0.0; 3]);
        apply(to, &Edit::SetGrip { node, grip })?;
    }
    Ok(format!("put the {}", put.mount))
}

/// Hangs the node from another. The dial turns what it hangs from if that is the mount, and nothing
/// else; it goes back to neutral first, so nothing moves but what was lifted. Gives the step's name.
///
/// # Errors
/// When the node carries what it would hang from.
pub fn hang(
    to: &mut Document,
    acts: &[Act],
    hang: &Hang,
    under: NodeId,
) -> Result<String, Refusal> {
    let Some(node) = id(to, &hang.node) else {
        return Err(Refusal::Lost(rig::fault::Item::Node));
    };
    rest(to, acts)?;
    let parent = Some(under);
    apply(to, &Edit::Rehang { node, parent })?;
    let name = to.node(under).map(|it| it.name.clone());
    let name = name.unwrap_or_default();
    let carried = name == hang.from;
    let drive = Drive::whole(Target::Channel(under, channel(hang.about)), hang.gain);
    let mut grip = Grip::None;
    if let Some(dial) = dial_mut(to, &hang.dial) {
        dial.drives = carried.then_some(drive).into_iter().collect();
        if carried {
            grip = Grip::Dials(vec![dial.id]);
        }
    }
    apply(to, &Edit::SetGrip { node, grip })?;
    Ok(format!("hang the {} from the {name}", hang.node))
}

/// Brings the dials of the acts back to neutral.
fn rest(to: &mut Document, acts: &[Act]) -> Result<(), Refusal> {
    let dials = acts.iter().filter_map(|act| match act {
        Act::Hang(hang) => to.dial_named(&hang.dial),
        _ => None,
    });
    let values: Vec<(DialId, f64)> = dials.map(|dial| (dial.id, dial.neutral)).collect();
    apply(to, &Edit::SetDials { values }).map(drop)
}

fn dial_mut<'a>(of: &'a mut Document, name: &str) -> Option<&'a mut Shared<Dial>> {
    of.rig.dials.iter_mut().find(|dial| dial.name == name)
}

fn id(document: &Document, name: &str) -> Option<NodeId> {
    document.node_named(name).map(|node| node.id)
}

fn channel(about: OwnAxis) -> Channel {
    match about {
        OwnAxis::X => Channel::TurnX,
        OwnAxis::Y => Channel::TurnY,
        OwnAxis::Z => Channel::TurnZ,
    }
}

/// With every dial neutral and every anchor holding.
pub fn rested(posed: &Posed) -> Posed {
    let mut rested = posed.clone();
    let mut setting = posed.setting().clone();
    setting.active.fill(true);
    rested.set(&setting);
    rested.set_neutral();
    rested.evaluate();
    rested
}

fn at_rest(posed: &Posed) -> Run {
    Run {
        posed: rested(posed),
    }
}

fn stands(posed: &Posed, put: &Put) -> Result<Kind, Obstacle> {
    let mount = put.mount.clone();
    if id(posed.document(), &mount).is_none() {
        return Ok(Kind::NotPut { mount });
    }
    let run = at_rest(posed);
    let at = run.point(&mount)?;
    let joints = posed.rig().nodes.iter();
    let joints = joints.filter(|node| node.kind == Node::Joint && !node.hidden);
    let off = |node: &Shared<rig::Node>| (run.posed.point(node.id) - at).norm();
    let near = joints
        .map(|node| (off(node), node.name.clone()))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    Ok(Kind::Put { mount, at, near })
}

fn hangs(posed: &Posed, hang: &Hang) -> Result<Kind, Obstacle> {
    let (node, from) = (hang.node.clone(), hang.from.clone());
    let document = posed.document();
    let hung = document.node_named(&node);
    let hung = hung.ok_or_else(|| Obstacle::NodeGone(node.clone()))?;
    let under = hung.parent.and_then(|id| document.node(id));
    let under = under.map(|it| it.name.clone());
    if under.as_deref() != Some(&*from) {
        return Ok(Kind::NotHung { node, from, under });
    }
    let run = at_rest(posed);
    let (mut most, mut which) = (0.0, node.clone());
    for (name, [x, y, z]) in &hang.rest {
        let moved = (run.point(name)? - Vec3::new(*x, *y, *z)).norm();
        if moved > most {
            (most, which) = (moved, name.clone());
        }
    }
    let count = hang.rest.len();
    Ok(if most <= UNMOVED {
        Kind::Hung { node, count, most }
    } else {
        Kind::Jolted { which, most }
    })
}

fn turns(posed: &Posed, acts: &[Act], turn: &Turn) -> Result<Kind, Obstacle> {
    let rest = at_rest(posed);
    let dial = rest.dial(&turn.dial)?.clone();
    let (value, to, unit) = (posed.dial(dial.id), turn.to, dial.unit);
    let asked = to - dial.neutral;
    if (value - to) * asked.signum() < -REACHED {
        return Ok(Kind::NotTurned {
            title: turn.title.clone(),
            value,
            unit,
        });
    }
    let mut slip = rest.read(&Gauge::WorstSlip {})?;
    let mut run = at_rest(posed);
    let motion = Motion::sweep(&run.posed, dial.id, (dial.neutral, to)).expect("it was found");
    for t in Motion::moments(turn.samples) {
        motion.pose(&mut run.posed, t);
        let here = run.read(&Gauge::WorstSlip {})?;
        if here.value > slip.value {
            slip = here;
        }
    }
    let far = |run: &Run, name: &str| Ok((run.point(name)? - rest.point(name)?).norm());
    let travel = far(&run, &turn.moves)?;
    if slip.value <= turn.most {
        return Ok(if travel <= 1.0 {
            let said = turn.still.clone();
            Kind::Still { said, slip, travel }
        } else {
            let node = turn.moves.clone();
            let at = At::Dial(to, unit);
            Kind::Turned {
                at,
                node,
                slip,
                travel,
            }
        });
    }
    let mut loose = run.posed.setting().clone();
    loose.active.fill(false);
    run.posed.set(&loose);
    let moved = far(&run, &turn.stays)?;
    let hang = hang_of(acts);
    let off = match hang {
        Some(hang) => rest.point(&hang.from)? - rest.point(&turn.stays)?,
        None => Vec3::zeros(),
    };
    let gain = hang.map_or(1.0, |hang| hang.gain);
    let along = |[x, y, z]: [f64; 3]| off.dot(&Vec3::new(x, y, z));
    let towards = turn.towards.iter();
    let towards = towards.map(|(name, way)| (along(*way), name.clone()));
    let mut towards: Vec<_> = towards.filter(|(part, _)| *part > 0.05).collect();
    few::sort(&mut towards, |a, b| b.0.total_cmp(&a.0));
    Ok(Kind::Strays {
        said: turn.off.clone(),
        ways: towards.into_iter().map(|(_, name)| name).collect(),
        off: off.norm(),
        half: libm::fabs(asked * gain) / 2.0,
        moved,
        slip,
    })
}
