//! The published tables a hand is made from, and what had to be assumed beside them.
//!
//! Bones: Buryanov A., Kotiuk V. (2010) Proportions of hand segments. International Journal of
//! Morphology 28(3):755–758: means of 66 adults by radiography, rounded to 0.1 mm as found in a
//! secondary table of that paper. Ranges of motion: American Academy of Orthopaedic Surgeons,
//! Joint Motion: Method of Measuring and Recording (1965); typical adult
//! figures for drawing and animating, not for clinical use.

/// A digit of the table: bones from the wrist outward and the soft tissue past the last, mm.
pub struct Digit {
    /// Start of its joints' names in WebXR Hand Input.
    pub name: &'static str,
    /// Metacarpal, then phalanges; mean lengths, mm.
    pub bones: &'static [f64],
    /// Their standard deviations, mm.
    pub deviations: &'static [f64],
    /// Soft tissue beyond the distal phalanx, mm.
    pub soft_tip: f64,
    /// Assumed (carpal positions are in no table here): the metacarpal's base from the wrist's
    /// centre in the flat right hand, mm towards the fingertips, the thumb's side and the back.
    pub base: [f64; 3],
    /// Assumed: the knuckle's distance to the thumb's side and to the back, mm. Both follow from
    /// the arch of the palm and give the bowed row of knuckles.
    pub head: [f64; 2],
    /// Assumed: how far the metacarpal flexes on the carpals, degrees. The fourth and fifth are
    /// mobile; that is how the palm flattens and cups.
    pub mobile: f64,
}

/// Thumb to little finger.
pub const DIGITS: [Digit; 5] = [
    Digit {
        name: "thumb",
        bones: &[46.2, 31.6, 21.7],
        deviations: &[3.9, 3.1, 1.6],
        soft_tip: 5.7,
        base: [18.0, 22.0, -4.0],
        head: [52.0, -6.0],
        mobile: 0.0,
    },
    Digit {
        name: "index-finger",
        bones: &[68.1, 39.8, 22.4, 15.8],
        deviations: &[6.3, 4.9, 2.5, 2.3],
        soft_tip: 3.8,
        base: [34.0, 15.0, 0.0],
        head: [26.8, 0.0],
        mobile: 0.0,
    },
    Digit {
        name: "middle-finger",
        bones: &[64.6, 44.6, 26.3, 17.4],
        deviations: &[5.4, 3.8, 3.0, 1.9],
        soft_tip: 4.0,
        base: [34.9, 3.5, 3.0],
        head: [6.9, 2.5],
        mobile: 0.0,
    },
    Digit {
        name: "ring-finger",
        bones: &[58.0, 41.4, 25.7, 17.3],
        deviations: &[5.1, 3.9, 3.3, 2.2],
        soft_tip: 4.0,
        base: [33.0, -7.5, 1.0],
        head: [-13.6, 0.5],
        mobile: 10.0,
    },
    Digit {
        name: "pinky-finger",
        bones: &[53.7, 32.7, 18.1, 16.0],
        deviations: &[4.4, 2.8, 2.5, 2.5],
        soft_tip: 3.7,
        base: [30.0, -17.0, -3.0],
        head: [-31.8, -5.0],
        mobile: 20.0,
    },
];

/// Wrist's centre to the tip of the middle finger in the table's hand, mm. The wrist's centre is
/// taken 0.54 of the third metacarpal before that bone's base: Youm et al. (1978), carpal height
/// ratio; and the crease hands are measured from is taken to lie over it.
pub const LENGTH: f64 = 34.9 + 64.6 + 44.6 + 26.3 + 17.4 + 4.0;
/// Assumed: soft tissue outside the knuckles of index and little finger, mm each.
pub const SIDE: f64 = 12.5;
/// Breadth over the knuckles of the table's hand, mm.
pub const BREADTH: f64 = 26.8 + 31.8 + 2.0 * SIDE;
/// Assumed: what of a metacarpal's splay its finger keeps when it is straight.
pub const FAN: f64 = 0.5;

/// Assumed: the pad's centre from the last joint, as a part of the distal phalanx; and towards
/// the palm, and its radius, mm.
pub const PAD_ALONG: f64 = 0.6;
/// See [`PAD_ALONG`].
pub const PAD_UNDER: f64 = 3.0;
/// See [`PAD_ALONG`].
pub const PAD_RADIUS: f64 = 4.0;

/// The flesh that rolls: half the width drawn at the last joint is h. The tip's round end has a
/// radius of this many h, ...
pub const TIP_ROUND: f64 = 0.96;
/// ... but is at most this part of the last bone with its soft tissue. Chosen here.
pub const TIP_SHARE: f64 = 0.5;
/// ... its centre lies this many h towards the palm, ...
pub const TIP_UNDER: f64 = 0.0225;
/// ... and the pad before it is an arc of this many h. All three fitted to the skin as it is
/// drawn, within 0.07 mm.
pub const PAD_ROUND: f64 = 6.0;
/// Pitch, degrees, at which the pad gives way to the tip, ...
pub const CHANGEOVER: f64 = 5.0;
/// ... and by how much less than the planted pitch it is at least, where a hand is that flat.
pub const CHANGEOVER_BELOW: f64 = 10.0;
/// Degrees of flexion of the relaxed middle finger's middle joint, by which the relaxed hand is
/// told: the others are in proportion ([`relaxed`]).
pub const REST_FLEXION: f64 = 35.0;
/// Degrees of flexion of a finger's branch where it is planted from no bend of its own.
pub const BRANCH_FLEXION: f64 = 12.0;
/// Of the relaxed hand: a knuckle's place across it (see [`Digit::head`]), then degrees of flexion
/// of knuckle, middle and last joint. Chosen here; they lie between what 50 people had with the
/// wrist flexed and extended by 60° (Su 2005, see [`FOLLOWS_WRIST`]).
const RELAXED: [(f64, [f64; 3]); 4] = [
    (26.8, [25.0, 30.0, 12.0]),
    (6.9, [30.0, 35.0, 15.0]),
    (-13.6, [35.0, 40.0, 18.0]),
    (-31.8, [40.0, 45.0, 20.0]),
];
/// Degrees by which a relaxed finger's knuckle, middle and last joint flex for one of the wrist's
/// extension: of 50 people's relaxed hands, whose joints went from 27, 19 and 12° with the wrist
/// flexed by 60° to 63, 70 and 31° with it extended by 60° (Su 2005), the slope of a line.
pub const FOLLOWS_WRIST: [f64; 3] = [36.0 / 120.0, 51.0 / 120.0, 19.0 / 120.0];

/// Degrees of flexion of a relaxed finger's knuckle, middle and last joint, by its knuckle's place
/// across the hand: the table's fingers' own, on straight lines between them, and beyond the
/// outermost theirs.
pub fn relaxed(across: f64) -> [f64; 3] {
    let (outermost, flexions) = RELAXED[0];
    // Written so that a NaN has an answer too.
    if across.is_nan() || across >= outermost {
        return flexions;
    }
    for pair in RELAXED.windows(2) {
        let [(near, from), (far, to)] = [pair[0], pair[1]];
        if across >= far {
            let part = (near - across) / (near - far);
            return [0, 1, 2].map(|joint| from[joint] + part * (to[joint] - from[joint]));
        }
    }
    RELAXED[RELAXED.len() - 1].1
}
/// Degrees of proximal flexion of a finger planted by its pad, for a hand that presses: the least
/// whole degree at which the table's hand can twist by 4° either way with 0.5 mm of slip. A twist
/// draws the outer fingers by half the row's width times its sine, and the slack for that grows
/// as the square of the flexion: 1.3 mm at 12°, 2.5 mm here.
pub const PLANTED_FLEXION: f64 = 18.0;
/// Distal by proximal interphalangeal flexion: Rijpkema & Girard (1991), from memory.
pub const COUPLING: f64 = 2.0 / 3.0;
/// Degrees. Flexion positive; deviation and abduction as the right hand's channel has them.
pub mod range {
    /// Elbow flexion 145: Electronic Textbook of Hand Surgery, normal range of motion reference
    /// values; AAOS's own is not in the table here.
    pub const ELBOW: (f64, f64) = (0.0, 145.0);
    /// Forearm supination 80, pronation 80.
    pub const FOREARM: (f64, f64) = (-80.0, 80.0);
    /// Wrist extension 70, flexion 80.
    pub const WRIST_FLEXION: (f64, f64) = (-70.0, 80.0);
    /// Wrist radial deviation 20, ulnar 30.
    pub const WRIST_DEVIATION: (f64, f64) = (-20.0, 30.0);
    /// Knuckle extension 45, flexion 90.
    pub const KNUCKLE_FLEXION: (f64, f64) = (-45.0, 90.0);
    /// Knuckle abduction 20 either way.
    pub const KNUCKLE_ABDUCTION: (f64, f64) = (-20.0, 20.0);
    /// Proximal interphalangeal flexion 100.
    pub const MIDDLE: (f64, f64) = (0.0, 100.0);
    /// Distal interphalangeal flexion 90.
    pub const LAST: (f64, f64) = (0.0, 90.0);
    /// Thumb carpometacarpal extension 20, flexion 15.
    pub const THUMB_BASE_FLEXION: (f64, f64) = (-20.0, 15.0);
    /// Thumb palmar abduction 70.
    pub const THUMB_BASE_ABDUCTION: (f64, f64) = (-70.0, 0.0);
    /// Thumb metacarpophalangeal flexion 50.
    pub const THUMB_MIDDLE: (f64, f64) = (0.0, 50.0);
    /// Thumb interphalangeal extension 20, flexion 80.
    pub const THUMB_LAST: (f64, f64) = (-20.0, 80.0);
}

/// Degrees to which joints can be pressed, which muscles of their own do not reach: each from a
/// stiff hand's to a loose one's, by its suppleness from 0 to 1. Beside the tables of
/// [`range`], for the same motions. For drawing and animating, not for clinical use.
pub mod loaded {
    use super::range;

    /// The suppleness of a hand of which none is told: knuckles extend by about 70°.
    pub const SUPPLENESS: f64 = 0.72;

    fn between(stiff: f64, loose: f64, suppleness: f64) -> f64 {
        stiff + suppleness * (loose - stiff)
    }

    /// Knuckle extension: stiff 45 (the top of the 30 to 45 that a kinesiology text gives for
    /// passive extension), loose 80 (the top of the 70 to 80 that an examiner's text calls not
    /// unusual for an index pushed back).
    pub fn knuckle_flexion(suppleness: f64) -> (f64, f64) {
        let least = 0.0 - between(45.0, 80.0, suppleness);
        (least, range::KNUCKLE_FLEXION.1)
    }

    /// Last joint of a finger: bowed back by 15 to 25. Common practice, no source; a study of
    /// forced motion (Yuan 2024) has 8 to 20 beyond the active end, without the direction.
    pub fn last(suppleness: f64) -> (f64, f64) {
        (0.0 - between(15.0, 25.0, suppleness), range::LAST.1)
    }

    /// Wrist extension: 85 pushed by an examiner (an orthopaedic text), 90 under the body's
    /// weight as in a push-up (an examiner's text).
    pub fn wrist_flexion(suppleness: f64) -> (f64, f64) {
        let least = 0.0 - between(85.0, 90.0, suppleness);
        (least, range::WRIST_FLEXION.1)
    }
}

/// Degrees to which load brings a thumb's joints past what [`range`] gives, each from a stiff hand's
/// to a loose one's, by its suppleness from 0 to 1: the least, the mean and the most that 100 people
/// of 18 to 37 years did actively (Barakat 2013), on straight lines between. Passive or loaded
/// figures for a thumb are in no table here; active ones of loose hands stand for them. For
/// drawing and animating, not for clinical use.
pub mod loaded_thumb {
    use super::range;

    /// Suppleness 0, one half and 1.
    fn among([least, mean, most]: [f64; 3], suppleness: f64) -> f64 {
        let part = 2.0 * suppleness;
        if part < 1.0 {
            least + part * (mean - least)
        } else {
            mean + (part - 1.0) * (most - mean)
        }
    }

    /// Carpometacarpal adduction 5, 10.2 and 20; the abduction is [`range`]'s.
    pub fn base_abduction(suppleness: f64) -> (f64, f64) {
        let most = among([5.0, 10.2, 20.0], suppleness);
        (range::THUMB_BASE_ABDUCTION.0, most)
    }

    /// Metacarpophalangeal extension 0, 8.1 and 15; flexion 43, 60 and 70, but not less than
    /// [`range`]'s.
    pub fn middle(suppleness: f64) -> (f64, f64) {
        let least = 0.0 - among([0.0, 8.1, 15.0], suppleness);
        let most = among([43.0, 60.0, 70.0], suppleness);
        let own = range::THUMB_MIDDLE.1;
        (least, if most > own { most } else { own })
    }

    /// Interphalangeal extension 0, 12 and 45, but not less than [`range`]'s; flexion 80, 88 and 90.
    pub fn last(suppleness: f64) -> (f64, f64) {
        let least = 0.0 - among([0.0, 12.0, 45.0], suppleness);
        let own = range::THUMB_LAST.0;
        let most = among([80.0, 88.0, 90.0], suppleness);
        (if least < own { least } else { own }, most)
    }
}
