//! The plate as what stands on it finds it.

/// Narrower plates have the mobile only when asked for, px.
const WIDE: f64 = 600.0;

/// A plate that a figure is framed on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// px
    pub size: (f64, f64),
    /// How large its texts are, of the usual.
    pub text: f64,
    /// How far its switches reach up from its foot, px; 0 before they are measured.
    pub tools: f64,
}

impl Plate {
    /// Of this size, px, and as plates usually are.
    pub fn of(size: (f64, f64)) -> Self {
        let (text, tools) = (1.0, 0.0);
        Self { size, text, tools }
    }

    /// Whether the mobile hangs over it without being asked for: the styles ask the same.
    pub fn is_wide(self) -> bool {
        self.size.0 >= WIDE * self.text
    }
}
