//! Where a thumb's four angles are sought from, and the best of what is found.
use super::super::link;
use super::super::saddle::{Aim, Sight};
use super::downhill::{ALIKE, descend, give};
use super::reach::REACHED;
use super::slide::{slide, strain};
use super::view::Looking;
use nalgebra::Vector4;

/// Rows and columns of the flexions tried as starts.
const STARTS: usize = 3;
/// Lines across each range on which starts as far as the target are tried.
const LINES: usize = 6;
/// By how much nearer to the target such a start has to be if it is farther from the rest, mm²
/// by rad².
const TRADE: f64 = 100.0;
/// How often the place a thumb has rolled to is looked up before all is sought together: enough
/// for the mm that rolling takes to become a part of one.
const LOOKS: usize = 2;
/// How hard a contact may hold the flexions off their rest, rad² by the tip's radii it would miss
/// by else. Where more is asked, near straight or where only a long bend makes up for a limit, it
/// gives way, and no flexion turns faster than this over its way from the rest. Chosen here: with
/// it no joint of a hand's thumb turns by more than 12° for a degree of a press.
const STRAIN: f64 = 0.25;
/// Most weights tried for that, and how near to it is near enough, as a part.
const GIVES: usize = 40;
const EVEN: f64 = 1e-8;

/// The best few of the starts offered, best first.
struct Starts<const N: usize>([(f64, Vector4<f64>); N]);

impl<const N: usize> Default for Starts<N> {
    fn default() -> Self {
        Self([(f64::INFINITY, Vector4::zeros()); N])
    }
}

impl<const N: usize> Starts<N> {
    fn offer(&mut self, mut start: (f64, Vector4<f64>)) {
        for kept in &mut self.0 {
            if start.0 < kept.0 {
                core::mem::swap(kept, &mut start);
            }
        }
    }

    fn found(&self) -> impl Iterator<Item = Vector4<f64>> {
        let found = self.0.iter().filter(|start| start.0 < f64::INFINITY);
        found.map(|start| start.1)
    }
}

/// Angles, and what they leave.
#[derive(Clone, Copy)]
struct Found {
    angles: Vector4<f64>,
    score: f64,
}

impl Found {
    /// Whether it is the better one. Of equal ones that is told by the angles that a mirror
    /// leaves alone: the two ends of the outer turn come in another order there.
    fn is_before(&self, other: &Self) -> bool {
        let key = |found: &Self| {
            let [outer, inner, middle, last] = found.angles.into();
            [found.score, middle, last, inner, libm::fabs(outer)]
        };
        key(self) < key(other)
    }
}

/// Angles for a target that stays where it is.
pub(super) fn still(looking: &Looking) -> Vector4<f64> {
    let sight = &looking.sight;
    if let Some(found) = near(looking, sight) {
        return found;
    }
    let [(farthest, most), (nearest, least)] = looking.reach.ends;
    let end = if sight.distance > most {
        Some(farthest)
    } else if sight.distance < least {
        Some(nearest)
    } else {
        None
    };
    if let Some(found) = end.and_then(|end| pointed(looking, sight, end)) {
        return found;
    }
    search(looking, sight, end.is_none())
}

/// Angles for a target that rolls with them: the least of ½ unrest + [`STRAIN`]·residual, which is
/// no residual at all as long as reaching costs no more.
pub(super) fn rolled(looking: &Looking) -> Vector4<f64> {
    let sight = &looking.sight;
    let (most, gone) = looking.rolling.map_or((0.0, 0.0), |rolling| {
        (STRAIN / rolling.planted.outline.radius, rolling.gone())
    });
    let rested = |sight: &Sight| {
        let [middle, last] = looking.reach.rested();
        let pad = looking.pad.place(libm::sincos(middle), libm::sincos(last));
        let [outer, inner] = sight.nearest(&pad.at).angles;
        Vector4::new(outer, inner, middle, last)
    };
    let goal = |x: &Vector4<f64>| {
        let place = looking.view(x).place;
        sight
            .saddle
            .towards(place.map_or(sight.target, |place| place.lying.goal))
    };
    let mut x = near(looking, sight).unwrap_or_else(|| rested(sight));
    for _ in 0..LOOKS {
        match near(looking, &goal(&x)) {
            Some(next) => x = next,
            None => break,
        }
    }
    let (reached, missed) = slide(looking, x, looking.view(&x).error.norm());
    let strain = if missed <= REACHED {
        strain(looking, &reached)
    } else {
        None
    };
    if strain.is_some_and(|strain| strain <= most) {
        return reached;
    }
    let mut rest = rested(sight);
    for _ in 0..LOOKS {
        rest = rested(&goal(&rest));
    }
    give_way(looking, rest, strain, (most, gone))
}

/// From the rest to where what it misses, weighed against its unrest, pulls as hard as may be;
/// not to the end where it misses by `gone` or more, for nothing is held there.
///
/// With the weight t on unrest the least of both pulls with residual/t, which falls as t grows; its
/// inverse is nearly a line. At t = 0 it is the strain of reaching.
fn give_way(
    looking: &Looking,
    rest: Vector4<f64>,
    strain: Option<f64>,
    (most, gone): (f64, f64),
) -> Vector4<f64> {
    // At the rest there is no unrest: with this weight it pulls no more than may be.
    let start = looking.view(&rest).error.norm();
    let mut weight = if start < gone { start } else { gone } / most;
    let mut low = (0.0, strain.map_or(0.0, |strain| 1.0 / strain) - 1.0 / most);
    let mut high = (weight, f64::INFINITY);
    let (mut x, mut last) = (rest, 0.0);
    for round in 0..GIVES {
        let residual;
        (x, residual) = give(looking, x, weight);
        let over = weight / residual - 1.0 / most;
        if residual <= REACHED || libm::fabs(over) * most <= EVEN || (round == 0 && over < 0.0) {
            break;
        }
        // What stays at one end twice counts for half there (the Illinois rule).
        let again = over * last > 0.0;
        last = over;
        if over > 0.0 {
            high = (weight, over);
            low.1 *= if again { 0.5 } else { 1.0 };
        } else {
            low = (weight, over);
            high.1 *= if again { 0.5 } else { 1.0 };
        }
        weight = low.0 - low.1 * (high.0 - low.0) / (high.1 - low.1);
    }
    x
}

/// The pose nearest the rest, if it can be told to be and the base's limits allow it.
fn near(looking: &Looking, sight: &Sight) -> Option<Vector4<f64>> {
    let level = looking
        .reach
        .level(looking.pad, sight.distance, &looking.used);
    level.and_then(|at| pointed(looking, sight, at))
}

/// The base pointed exactly, if its limits allow that.
fn pointed(looking: &Looking, sight: &Sight, [middle, last]: [f64; 2]) -> Option<Vector4<f64>> {
    let place = looking.pad.place(libm::sincos(middle), libm::sincos(last));
    let [outer, inner] = sight.point(&place.at)?;
    Some(Vector4::new(outer, inner, middle, last))
}

/// From many starts, the best. `lines`: whether there are any as far as the target.
fn search(looking: &Looking, sight: &Sight, lines: bool) -> Vector4<f64> {
    let reach = looking.reach;
    let mut near = Starts::<1>::default();
    let mut edged = [(); 4].map(|()| Starts::<1>::default());
    let place = |[middle, last]: [f64; 2]| {
        let place = looking.pad.place(libm::sincos(middle), libm::sincos(last));
        place.at
    };
    // A start, and how bad it is, a radian squared from the rest counting for `trade` mm².
    let start = |[middle, last]: [f64; 2], aim: Aim, trade: f64| {
        let [outer, inner] = aim.angles;
        let angles = Vector4::new(outer, inner, middle, last);
        let score = aim.error.norm_squared() + trade * reach.unrest(&angles);
        (score, angles)
    };
    for row in 0..STARTS {
        for column in 0..STARTS {
            let [middle, last] = [row, column].map(|at| (at as f64 + 0.5) / STARTS as f64);
            let q = [reach.part(2, middle), reach.part(3, last)];
            let pad = place(q);
            near.offer(start(q, sight.nearest(&pad), 0.0));
            for (edge, aim) in sight.edged(&pad) {
                edged[edge].offer(start(q, aim, 0.0));
            }
        }
    }
    let mut level = Starts::<2>::default();
    let wanted = sight.distance * sight.distance;
    let lines = if lines { LINES } else { 0 };
    for line in 0..lines {
        for which in [0, 1] {
            let at = reach.part(2 + which, line as f64 / (LINES - 1) as f64);
            for other in looking.pad.crossings(which, at, wanted) {
                let (other, past) = link::nearest(other, reach.limits[3 - which]);
                if past == 0.0 {
                    let q = if which == 0 { [at, other] } else { [other, at] };
                    level.offer(start(q, sight.nearest(&place(q)), TRADE));
                }
            }
        }
    }
    let mut best: Option<Found> = None;
    // The best of all is most often the best of an edge too.
    let edged = || edged.iter().flat_map(Starts::found);
    let inside = near
        .found()
        .filter(|near| edged().all(|edge| edge != *near));
    let starts = inside.chain(edged()).chain(level.found());
    for start in starts {
        let found = follow(looking, start);
        if best.is_none_or(|best| found.is_before(&best)) {
            best = Some(found);
        }
    }
    // Of starts that are no numbers none is offered.
    best.map_or_else(Vector4::zeros, |best| best.angles)
}

/// From a start downhill to a least residual; and where that is none, along the poses that reach
/// to the one nearest the rest.
fn follow(looking: &Looking, start: Vector4<f64>) -> Found {
    let (mut angles, mut residual) = descend(looking, start);
    if residual <= REACHED {
        (angles, residual) = slide(looking, angles, residual);
    }
    let left = if residual <= REACHED { 0.0 } else { residual };
    Found {
        angles,
        score: left + ALIKE * looking.reach.unrest(&angles),
    }
}
