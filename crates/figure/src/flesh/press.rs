//! Flesh that is pressed: soft where it lies on a surface.
use super::near::{may_reach, off};
use super::skin::Skin;
use rig::{Form, Surface};

/// The pulp of what bears on a surface spreads on it from as far as this, mm. Chosen here, and
/// only drawn: what is measured is the undeformed outline, which touches in a point.
const GIVE: f64 = 1.5;
/// What only rests on a surface gives this part of that.
pub(super) const RESTS: f64 = 0.4;
/// Flesh begins to give this near a surface, mm.
const MEETS: f64 = 0.6;
/// Flesh that is measured this deep in a surface gives as if it bore, mm.
const DEEP: f64 = 1.5;
/// Soft flesh is lifted out of a surface by up to this, mm.
const SOFT: f64 = 3.0;

/// 0 up to 0, 1 from 1 on, level at both ends.
fn smooth(t: f64) -> f64 {
    let t = t.clamp(0.0, 1.0);
    t * t * (3.0 - 2.0 * t)
}

/// Flattens what lies on a surface, the wider the more it bears, with a soft bulge round it, and
/// lifts what reaches into it.
pub(super) fn press(skin: &mut Skin, surface: &Surface) {
    // Looking at every point of a plane's is as quick as asking.
    if surface.form != Form::Plane && !may_reach(skin, surface, MEETS) {
        return;
    }
    let off = off(surface);
    let least = skin
        .at
        .iter()
        .map(|p| off(p).0)
        .fold(f64::INFINITY, f64::min);
    if least >= MEETS {
        return;
    }
    let bears = skin.holds.max(smooth(-least / DEEP));
    let bears = smooth(1.0 - least / MEETS) * (RESTS + (1.0 - RESTS) * bears);
    skin.bears = skin.bears.max(bears);
    let give = GIVE * bears;
    // Flat up to here, and as it was from here on.
    let (flat, own) = (0.3 * give, 2.8 * give);
    for (point, normal) in skin.at.iter_mut().zip(&skin.normal) {
        let (gap, off) = off(point);
        let up = off.dot(normal);
        if gap >= own || up >= FACES {
            continue;
        }
        // What faces along the surface moves less, so that nothing is cut off.
        let down = smooth((FACES - up) / FACING);
        let t = (gap - flat) / (own - flat);
        let to = if gap > flat {
            gap * smooth(t)
        } else {
            -sunk(-gap - SOFT)
        };
        let bulge = if gap > flat {
            BULGE * give * 4.0 * t * (1.0 - t)
        } else {
            0.0
        };
        *point += off * ((to - gap) * down) + (normal - off * up) * (bulge * down);
    }
}

/// A normal that looks up by this much is of flesh that does not touch, less so over this range.
const FACES: f64 = 0.45;
const FACING: f64 = 0.6;
/// How far the rim of a flattened pad comes out, as a part of what it gives.
const BULGE: f64 = 0.35;

/// What is deeper than soft flesh gives stays in the surface; the change has no kink.
fn sunk(over: f64) -> f64 {
    const KNEE: f64 = 2.0;
    if over <= 0.0 {
        0.0
    } else if over < KNEE {
        over * over / (2.0 * KNEE)
    } else {
        over - KNEE / 2.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rig::Vec3;
    use std::f64::consts::{PI, TAU};

    const ROUND: f64 = 7.2;

    /// A ball of a fingertip's size whose lowest point is so deep in the bench.
    fn ball(deep: f64, holds: f64) -> Skin {
        let (rings, sides) = (60, 60);
        let mut skin = Skin::with_room(sides, rings, false);
        for i in 0..rings {
            let (s, c) = libm::sincos(PI * i as f64 / (rings - 1) as f64);
            for j in 0..sides {
                let (sin, cos) = libm::sincos(TAU * j as f64 / sides as f64);
                let out = Vec3::new(s * cos, -c, s * sin);
                skin.normal.push(out);
                skin.at.push(out * ROUND + Vec3::y() * (ROUND - deep));
            }
        }
        skin.holds = holds;
        skin
    }

    fn pressed(deep: f64, holds: f64) -> (Skin, Skin) {
        let bench = Surface {
            frame: rig::Transform::identity(),
            form: Form::Plane,
            node: None,
        };
        let (before, mut after) = (ball(deep, holds), ball(deep, holds));
        press(&mut after, &bench);
        (before, after)
    }

    /// How far round its middle flesh lies on the bench, mm.
    fn patch(skin: &Skin) -> f64 {
        let on = skin.at.iter().filter(|p| p.y.abs() < 1e-9);
        on.map(|p| libm::hypot(p.x, p.z)).fold(0.0, f64::max)
    }

    #[test]
    fn a_pad_flattens_more_the_more_it_bears() {
        let (_, hovers) = pressed(-MEETS, 1.0);
        assert_eq!(hovers.at, ball(-MEETS, 1.0).at);
        let patches = [0.0, 0.5, 1.0].map(|holds| patch(&pressed(0.0, holds).1));
        assert!(patches[0] > 0.5 && patches[2] < 7.0, "{patches:?}");
        assert!(patches.is_sorted_by(|a, b| a < b), "{patches:?}");
        assert!(patch(&pressed(DEEP, 0.0).1) > patches[0]);
    }

    /// The give is drawn only and small; nothing of a touching pad is left below, nothing torn.
    #[test]
    fn a_pads_give_is_small_and_smooth() {
        for (deep, holds) in [(0.0, 0.0), (0.0, 1.0), (0.05, 0.4), (1.5, 1.0), (3.0, 1.0)] {
            let (before, after) = pressed(deep, holds);
            for (a, b) in before.at.iter().zip(&after.at) {
                let most = GIVE + BULGE * GIVE + deep;
                assert!((a - b).norm() <= most, "{deep} {holds}: {a} {b}");
                assert!(b.y > -1e-9 || a.y < 0.0, "{deep} {holds}: {a} {b}");
            }
            let apart = |skin: &Skin, i: usize| (skin.at[i + skin.sides] - skin.at[i]).norm();
            for i in 0..after.at.len() - after.sides {
                let (was, is) = (apart(&before, i), apart(&after, i));
                assert!(is < 3.0 * was + 0.05, "{deep} {holds}: {was} {is}");
            }
        }
    }

    #[test]
    fn what_is_sunk_stays_sunk_without_a_kink() {
        let deepest = |deep| {
            let (_, after) = pressed(deep, 1.0);
            after.at.iter().map(|p| p.y).fold(0.0, f64::min)
        };
        assert!(deepest(SOFT - 0.1) > -1e-9);
        assert!((deepest(SOFT + 3.0) + 2.0).abs() < 1e-9);
        for k in 0..60 {
            let deep = f64::from(k) * 0.1;
            let step = deepest(deep) - deepest(deep + 0.1);
            assert!((-1e-9..=0.1 + 1e-9).contains(&step), "{deep}: {step}");
        }
    }
}
