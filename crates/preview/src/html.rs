//! Text and small parts as HTML.

pub use workbook::svg::escaped;

/// A button that does nothing yet, and looks it.
pub fn button(class: &str, text: &str) -> String {
    let class = if class.is_empty() {
        String::new()
    } else {
        format!(r#" class="{class}""#)
    };
    format!("<button{class} disabled>{}</button>", escaped(text))
}

/// A list that nothing can be picked from yet, as wide as it will be.
pub fn list(options: &[String]) -> String {
    let options: String = options
        .iter()
        .map(|option| format!("<option>{}</option>", escaped(option)))
        .collect();
    format!("<select disabled>{options}</select>")
}

/// A switch of buttons that do nothing yet.
pub fn switch(names: &[&str]) -> String {
    let buttons: String = names.iter().map(|name| button("", name)).collect();
    format!(r#"<div class="switch">{buttons}</div>"#)
}

/// What a link to the place shown carries.
pub fn current(here: bool, what: &str) -> String {
    if here {
        format!(r#" aria-current="{what}""#)
    } else {
        String::new()
    }
}

/// The plate and what stands under it, as the page has them.
pub fn right(figure: &str, desk: &str) -> String {
    format!(
        r#"<div class="right"><div class="stage"><div class="plate">{figure}</div></div>{desk}</div>"#
    )
}
