//! What a page is opened at: a screen of some size, in a look.

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Size {
    pub name: &'static str,
    pub width: u32,
    pub height: u32,
    /// A touch screen with a phone's viewport rules.
    pub mobile: bool,
}

impl Size {
    pub const DESKTOP: Size = Size {
        name: "desktop",
        width: 1440,
        height: 900,
        mobile: false,
    };
    pub const TABLET: Size = Size {
        name: "tablet",
        width: 1024,
        height: 768,
        mobile: false,
    };
    pub const PHONE: Size = Size {
        name: "phone",
        width: 390,
        height: 844,
        mobile: true,
    };
    pub const ALL: [Size; 3] = [Size::DESKTOP, Size::TABLET, Size::PHONE];
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Look {
    Paper,
    Slate,
}

impl Look {
    pub const ALL: [Look; 2] = [Look::Paper, Look::Slate];

    pub fn name(self) -> &'static str {
        match self {
            Look::Paper => "paper",
            Look::Slate => "slate",
        }
    }
}
