//! A hand alone, small: for a choice among many.
use super::making::Flesh;
use super::order::{self, Solid};
use super::paint::Brush;
use super::seen::{Seen, see};
use crate::layout::Layout;
use crate::sheet::Sheet;
use crate::{Seg, Shape, Sight, View};
use rig::{Posed, Role, Vec3};

/// Left free round the hand, px.
const MARGIN: f64 = 4.0;
/// Lines are this much of a plate's.
const WEIGHT: f64 = 0.72;
/// Points nearer to the one before are left out, px.
const FINE: f64 = 0.5;
/// Rings of the arm that are shown.
const WRIST: usize = 3;

/// A posed hand as a plain picture of a few dozen px: its skin and nails in outline, without
/// tones, and nothing that stands about it. Empty where the document is no hand.
pub fn thumbnail(posed: &Posed, sight: Sight, size: (f64, f64)) -> Vec<Shape> {
    let any = View::fit(sight, size, &[], MARGIN);
    let layout = Layout::new(posed, &any, &[]);
    let Some(flesh) = Flesh::ghost(posed, &layout, &[]) else {
        return Vec::new();
    };
    let shown = |(at, skin): (usize, &super::skin::Skin)| {
        let ring = if at == 0 {
            skin.hand.saturating_sub(WRIST)
        } else {
            0
        };
        skin.at[ring * skin.sides..].to_vec()
    };
    let points: Vec<Vec3> = flesh.skins.iter().enumerate().flat_map(shown).collect();
    let view = View::fit(sight, size, &points, MARGIN);
    let mut sheet = Sheet::new(&view, WEIGHT);
    let seen: Vec<Seen> = flesh.skins.iter().map(|skin| see(&view, skin)).collect();
    let solids: Vec<&Solid> = flesh.pieces.iter().map(|piece| &piece.solid).collect();
    let mut brush = Brush::default();
    for i in order::far_to_near(&solids, &view) {
        let piece = &flesh.pieces[i];
        let rings = flesh.reach(i, |_| Role::Carried);
        let skin = &flesh.skins[piece.skin];
        brush.paint(
            &mut sheet,
            skin,
            (piece, rings),
            &seen[piece.skin],
            Role::Carried,
        );
    }
    for shape in &mut sheet.shapes {
        if let Shape::Path { segs, .. } = shape {
            thin(segs);
        }
    }
    sheet.shapes
}

/// Leaves out points that do not show.
fn thin(segs: &mut Vec<Seg>) {
    let mut last = (f64::INFINITY, f64::INFINITY);
    segs.retain(|seg| match *seg {
        Seg::Line(x, y) => {
            let far = libm::hypot(x - last.0, y - last.1) >= FINE;
            if far {
                last = (x, y);
            }
            far
        }
        Seg::Move(x, y) => {
            last = (x, y);
            true
        }
        _ => true,
    });
}
