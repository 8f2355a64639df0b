//! The lesson printed in the contributor guide is a lesson, and is refused as the guide says.

const GUIDE: &str = include_str!("../../../DEVELOPERS.md");

/// The guide's only block of JSON.
fn printed() -> &'static str {
    let mut blocks = GUIDE.split("```json\n").skip(1);
    let block = blocks.next().expect("the guide prints a lesson");
    assert!(blocks.next().is_none(), "which of them is the lesson?");
    block.split("```").next().expect("text up to the fence")
}

#[test]
fn the_printed_lesson_passes() {
    let lesson = course::read(printed()).unwrap_or_else(|fault| panic!("{fault}"));
    assert_eq!(lesson.steps.len(), 2);
}

#[test]
fn its_misspelling_is_told_as_printed() {
    let band = "\"bands\": [\n          {\n            \"gauge\": {\"gauge\": \"height\", \"node\": \"knuckle\"}";
    let spoiled = printed().replacen(band, &band.replace("knuckle", "thumb"), 1);
    let said = course::read(&spoiled)
        .expect_err("no such node")
        .to_string();
    assert!(
        GUIDE.contains(&format!("`{said}`")),
        "the guide lacks: {said}"
    );
}

#[test]
fn the_guide_names_every_tool() {
    let line = GUIDE
        .lines()
        .find(|line| line.starts_with("- `tools`"))
        .expect("the guide tells of tools");
    // The published schema lists them.
    let schema = course::schema();
    let tools = schema["$defs"]["Tool"]["oneOf"].as_array().unwrap();
    assert!(tools.len() > 3);
    for tool in tools {
        let told = match &tool["const"] {
            serde_json::Value::String(name) => format!("`{name}`"),
            _ => format!("`{{{}: ", tool["required"][0]),
        };
        assert!(line.contains(&told), "{told}");
    }
}
