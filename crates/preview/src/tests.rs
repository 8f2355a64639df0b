//! The pieces are whole, small, and in the styles' colours.
use super::*;

fn lessons() -> Vec<Listed> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../lessons");
    read(&folder).expect("good lessons")
}

fn pieces() -> Vec<(Route, String)> {
    let lessons = lessons();
    let all = Window::ALL.into_iter().flat_map(|(window, _)| {
        let of = |route| (route, piece(route, &lessons, window).expect("a piece"));
        routes(&lessons).into_iter().map(of).collect::<Vec<_>>()
    });
    all.collect()
}

#[test]
fn every_address_has_a_piece_that_the_policy_allows() {
    let pieces = pieces();
    assert!(pieces.len() > 60);
    for (route, piece) in pieces {
        for barred in [" style=", "<script", "<style", "onclick", "id=\"page"] {
            assert!(!piece.contains(barred), "{route:?} has {barred}");
        }
        assert_eq!(
            piece.matches("<svg").count(),
            piece.matches("</svg>").count()
        );
        assert!(piece.len() < 120_000, "{route:?}: {} bytes", piece.len());
        // Every colour is the styles', so that one figure serves both looks.
        assert!(
            !piece.contains("fill=\"#") && !piece.contains("stroke=\"#"),
            "{route:?}"
        );
        assert!(
            !piece.contains("NaN") && !piece.contains("inf"),
            "{route:?}"
        );
    }
}

#[test]
fn the_styles_have_the_figures_colours() {
    use figure::Look;
    let www = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../www");
    let styles = ["shell.css", "styles/app.css"].map(|name| fs::read_to_string(www.join(name)));
    let styles = styles.map(|text| text.expect("styles")).concat();
    for paint in figure::Paint::ALL {
        let name = workbook::svg::name(paint);
        for look in [Look::Paper, Look::Slate] {
            let rule = format!("--{name}: {}", look.colour(paint));
            assert!(styles.contains(&rule), "the styles lack {rule}");
        }
    }
}

#[test]
fn what_a_reader_typed_is_no_markup() {
    assert_eq!(
        html::escaped("<b> & \"q\""),
        "&lt;b&gt; &amp; &quot;q&quot;"
    );
}
