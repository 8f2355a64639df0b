//! What `handstand pose` prints; also exported by the browser build, so that both can be compared byte for byte.
use crate::{Document, Posed};

/// `{"nodes":[{"name","parent","position","rotation"}…],"anchors":[{"name","residual_mm","reach_margin_mm"}…]}`, world space, mm.
pub fn pose_json(document: &Document, posed: &Posed) -> String { let _ = (document, posed); todo!() }
