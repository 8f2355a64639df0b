//! Text tables.

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
    let widths: Vec<_> = (0..rows[0].len())
        .map(|k| {
            rows.iter()
                .map(|row| row[k].chars().count())
                .max()
                .unwrap_or(0)
        })
        .collect();
    let mut text = String::new();
    for row in rows {
        let cells = row
            .iter()
            .zip(&widths)
            .enumerate()
            .map(|(k, (cell, &width))| {
                if k < left {
                    format!("{cell:<width$}")
                } else {
                    format!("{cell:>width$}")
                }
            });
        text += cells.collect::<Vec<_>>().join("  ").trim_end();
        text += "\n";
    }
    text
}
