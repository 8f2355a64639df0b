//! The key to a picture: each sign by itself.
use crate::draw::{filled, ghostly, paths};
use crate::path::{bone, polyline};
use crate::sheet::Sheet;
use crate::sign::Sign;
use crate::{
    Bubble, Layer, Paint, Scene, Shape, Sight, View, bubbles, contact, measure, pencil, staple,
};
use rig::{Role, Vec3};

/// A sample's size, px at weight 1.
pub const SAMPLE: (f64, f64) = (88.0, 36.0);

/// A sign by itself, drawn by what draws it in the picture, on [`SAMPLE`] times `weight`.
pub fn sample(sign: Sign, weight: f64) -> Vec<Shape> {
    let w = weight;
    // A millimetre is a pixel, and the middle is the world's origin.
    let view = View {
        sight: Sight::Side,
        centre: Vec3::zeros(),
        scale: 1.0,
        size: (SAMPLE.0 * w, SAMPLE.1 * w),
    };
    let mut sheet = Sheet::new(&view, w);
    let middle = sheet.at(&Vec3::zeros());
    let across = |x: f64| (middle.0 + x * w, middle.1);
    match sign {
        Sign::Ring => contact::ring(&mut sheet, middle, 11.0 * w),
        Sign::Place => contact::place(&mut sheet, middle),
        Sign::Pivot => contact::cross_in_square(&mut sheet, sign, middle, contact::PIVOT),
        Sign::Mount => contact::cross_in_square(&mut sheet, sign, middle, contact::MOUNT),
        Sign::Mark => measure::mark(&mut sheet, &Vec3::zeros(), ""),
        Sign::Way | Sign::Trail | Sign::Pencil | Sign::Truth => {
            let along = (-8..=8).map(|k| f64::from(k) * 4.5 * w);
            let arc = along.map(|x| Vec3::new(x, 7.0 * w - x * x / (90.0 * w), 0.0));
            let (arc, mut scene) = (arc.collect(), Scene::default());
            match sign {
                Sign::Trail => scene.trail = arc,
                Sign::Pencil => scene.pencil_strokes.push(arc),
                Sign::Truth => scene.truth_strokes.push(arc),
                _ => scene.reachable.push(arc),
            }
            paths(&mut sheet, &scene);
            pencil::lines(&mut sheet, &scene);
        }
        Sign::Bubble => {
            // It hangs under what slips.
            let over = Vec3::new(0.0, SAMPLE.1 * w, 0.0);
            let bubble = Bubble {
                at: over,
                name: String::new(),
                text: "0.00 mm".into(),
                good: true,
            };
            bubbles::draw(&mut sheet, None, &[bubble]);
        }
        Sign::Solid | Sign::Hatch | Sign::Ghost => {
            let segs = bone(across(-26.0), 11.0 * w, across(28.0), 7.0 * w);
            let limb = |role| Shape::filled(Layer::Bone, segs.clone(), filled(role).0, None);
            let shape = match sign {
                Sign::Solid => limb(Role::Carried),
                Sign::Hatch => limb(Role::Anchored),
                _ => Shape::line(Layer::Ghost, segs.clone(), ghostly(&sheet)),
            };
            sheet.push(shape);
            if sign != Sign::Ghost {
                let outline = sheet.stroke(Paint::Ink, 1.6);
                sheet.push(Shape::line(Layer::Bone, segs, outline));
            }
        }
        Sign::Staple | Sign::Open => {
            let edge = polyline([across(-40.0), across(40.0)]);
            let edge = Shape::line(Layer::Bench, edge, sheet.stroke(Paint::Ink, 1.4));
            sheet.push(edge);
            let shape = staple::level(&mut sheet, middle, sign == Sign::Staple);
            sheet.push(shape);
        }
        Sign::Slip | Sign::Rolled => {
            let ends = [across(-24.0), across(24.0)];
            let shapes = match sign {
                Sign::Slip => vec![staple::slipped(&mut sheet, ends)],
                _ => staple::rolled(&mut sheet, ends, 1.0).into(),
            };
            sheet.shapes.extend(shapes);
        }
    }
    sheet.shapes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Seg;

    #[test]
    fn every_sign_is_drawn_inside_its_sample_and_like_no_other() {
        let mut drawn = Vec::new();
        for sign in Sign::ALL {
            for weight in [1.0, 1.6] {
                let shapes = sample(sign, weight);
                assert!(!shapes.is_empty(), "{sign:?}");
                let inside = |x: f64, y: f64| {
                    let (wide, high) = (SAMPLE.0 * weight, SAMPLE.1 * weight);
                    (0.0..=wide).contains(&x) && (0.0..=high).contains(&y)
                };
                for shape in &shapes {
                    let Shape::Path { segs, .. } = shape else {
                        continue;
                    };
                    let all = segs.iter().all(|seg| match *seg {
                        Seg::Move(x, y) | Seg::Line(x, y) => inside(x, y),
                        Seg::Cubic(.., x, y) => inside(x, y),
                        Seg::Close => true,
                    });
                    assert!(all, "{sign:?} at {weight}: {segs:?}");
                }
                assert!(!drawn.contains(&shapes), "{sign:?}");
                drawn.push(shapes);
            }
        }
    }
}
