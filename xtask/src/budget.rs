//! What a learner waits for: all that the first lesson loads before its first drag is kept.

use anyhow::{Context, Result, ensure};

/// Bytes by Brotli. A hundredth above what was reached, so that growth is noticed when it happens
/// and not once it hurts; after a saving, set it anew.
const BUDGET: usize = 752_000;

/// Prints what the first lesson's load consists of.
///
/// `page` is `index.html`; `sizes` has every file's path and bytes by Brotli.
///
/// # Errors
/// When it is more than the budget, or the page names something that is not there.
pub fn check(page: &str, sizes: &[(&str, usize)]) -> Result<()> {
    let parts = first_load(page, sizes)?;
    let total: usize = parts.iter().map(|(_, size)| size).sum();
    println!("The first lesson loads, in bytes by Brotli:");
    for (path, size) in &parts {
        println!("{size:>9}  {path}");
    }
    println!("{total:>9}  in all, of {BUDGET} allowed");
    ensure!(
        total <= BUDGET,
        "the first lesson loads {total} bytes, {} more than xtask/src/budget.rs allows",
        total - BUDGET
    );
    Ok(())
}

/// The page and all that it names, the scripts that come with the glue, the lessons' list, the
/// first lesson and its first figure; the largest first.
fn first_load<'a>(page: &str, sizes: &[(&'a str, usize)]) -> Result<Vec<(&'a str, usize)>> {
    let named = page
        .split("\"./")
        .skip(1)
        .filter_map(|rest| rest.split_once('"').map(|(name, _)| name));
    let mut parts = Vec::new();
    for name in ["index.html", "lessons/index.json"]
        .into_iter()
        .chain(named)
    {
        let part = sizes.iter().find(|(path, _)| *path == name);
        parts.push(*part.with_context(|| format!("the site has no {name}"))?);
    }
    let lesson = sizes
        .iter()
        .find(|(path, _)| path.starts_with("lessons/01-"));
    parts.push(*lesson.context("the site has no first lesson")?);
    let first = sizes
        .iter()
        .find(|(path, _)| path.starts_with("first/lesson-1-1-wide-"));
    parts.push(*first.context("the site has no first figure")?);
    parts.extend(
        sizes
            .iter()
            .filter(|(path, _)| path.starts_with("snippets/")),
    );
    parts.sort_by_key(|(_, size)| std::cmp::Reverse(*size));
    Ok(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZES: [(&str, usize); 8] = [
        ("app-1.wasm", 900),
        ("first/lesson-1-1-narrow-1.html", 50),
        ("first/lesson-1-1-wide-1.html", 3),
        ("index.html", 5),
        ("lessons/01-carry.lesson.json", 30),
        ("lessons/02-anchor.lesson.json", 40),
        ("lessons/index.json", 7),
        ("snippets/a/inline0.js", 2),
    ];

    #[test]
    fn counts_what_the_page_names_and_one_lesson() {
        let page = r#"<link href="./app-1.wasm"><a href="elsewhere">"#;
        let parts = first_load(page, &SIZES).unwrap();
        let total: usize = parts.iter().map(|(_, size)| size).sum();
        assert_eq!(total, 947, "{parts:?}");
    }

    #[test]
    fn what_is_not_there_or_too_much_fails() {
        assert!(first_load(r#"<link href="./gone.js">"#, &SIZES).is_err());
        let large = SIZES.map(|(path, size)| (path, size + BUDGET));
        assert!(check("", &large).is_err());
    }
}
