//! Text tables.
use rig::text::line;

/// A number to two places; one that rounds to zero has no sign.
pub fn plain(value: f64) -> String {
    let text = format!("{value:.2}");
    if text == "-0.00" {
        "0.00".to_owned()
    } else {
        text
    }
}

/// Lines of cells, the first `left` columns flush left and the others flush right.
pub fn columns(rows: &[Vec<String>], left: usize) -> String {
    let whole = |cell: &String| line(cell, usize::MAX);
    let rows: Vec<Vec<_>> = rows
        .iter()
        .map(|row| row.iter().map(whole).collect())
        .collect();
    let width = |cell: &String| cell.chars().count();
    let widths: Vec<_> = (0..rows[0].len())
        .map(|k| rows.iter().map(|row| width(&row[k])).max().unwrap_or(0))
        .collect();
    let mut text = String::new();
    for row in &rows {
        let cells = row
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(k, (cell, &most))| {
                // Not by a format's width, which ends at 65,535 with a panic.
                let room = " ".repeat(most - width(cell));
                if k < left {
                    format!("{cell}{room}")
                } else {
                    format!("{room}{cell}")
                }
            });
        text += cells.collect::<Vec<_>>().join("  ").trim_end();
        text += "\n";
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// B3: a format's width ends at 65,535.
    #[test]
    fn b3_a_cell_may_have_any_length() {
        let long = "a".repeat(70_000);
        let table = columns(
            &[
                vec![long.clone(), "1".into()],
                vec!["b".into(), "22".into()],
            ],
            1,
        );
        assert_eq!(table, format!("{long}   1\nb{}  22\n", " ".repeat(69_999)));
    }
}
