//! What means something by the way it is drawn, and which of that a picture has.

/// What means something by the way it is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sign {
    /// What is grabbed.
    Ring,
    /// What is grabbed to place a pivot.
    Place,
    /// Carried along.
    Solid,
    /// Held by an anchor.
    Hatch,
    /// Where something is planted.
    Staple,
    /// Where something was planted that has let go.
    Open,
    /// What the rest turns about.
    Pivot,
    /// A mount that only carries.
    Mount,
    /// A named place.
    Mark,
    /// Where a mover can go.
    Way,
    /// Where it went.
    Trail,
    /// Drawn by the reader.
    Pencil,
    /// What really happens, over that.
    Truth,
    /// A slip's reading.
    Bubble,
    /// From where a plant should be to where it is.
    Slip,
    /// The way a contact has rolled.
    Rolled,
    /// Where the figure was before.
    Ghost,
}

impl Sign {
    /// All, in a key's order.
    pub const ALL: [Self; 17] = [
        Self::Ring,
        Self::Place,
        Self::Solid,
        Self::Hatch,
        Self::Staple,
        Self::Open,
        Self::Pivot,
        Self::Mount,
        Self::Mark,
        Self::Way,
        Self::Trail,
        Self::Pencil,
        Self::Truth,
        Self::Bubble,
        Self::Slip,
        Self::Rolled,
        Self::Ghost,
    ];
}

/// The signs of a picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Signs(u32);

impl Signs {
    pub(crate) fn add(&mut self, sign: Sign) {
        self.0 |= 1 << sign as u32;
    }

    /// Whether the picture has this one.
    pub fn has(self, sign: Sign) -> bool {
        self.0 >> sign as u32 & 1 == 1
    }
}
