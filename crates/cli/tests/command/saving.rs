//! What `draw` writes over, and what it leaves.
use super::{bad, example, file, handstand, text};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A document of this test's own.
fn document(name: &str) -> PathBuf {
    file(name, &std::fs::read(example()).unwrap())
}

fn place(name: &str) -> PathBuf {
    Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}

fn draw(document: &Path, out: &Path) -> String {
    let before = std::fs::read(document).unwrap();
    let told = bad(&["draw", document.to_str().unwrap(), out.to_str().unwrap()]);
    assert!(std::fs::read(document).unwrap() == before, "{told}");
    told
}

#[test]
fn b6_a_picture_is_not_drawn_over_its_document() {
    let mine = document("b6-mine.hand.json");
    assert!(draw(&mine, &mine).contains("this is the document itself"));
    let folder = mine.parent().unwrap();
    std::fs::create_dir_all(folder.join("b6-folder")).unwrap();
    let other_spelling = folder.join("b6-folder/../b6-mine.hand.json");
    assert!(draw(&mine, &other_spelling).contains("this is the document itself"));
}

#[cfg(unix)]
#[test]
fn b6_a_picture_is_not_drawn_over_its_document_through_a_link() {
    let mine = document("b6-linked.hand.json");
    for (name, hard) in [("b6-soft.svg", false), ("b6-hard.svg", true)] {
        let link = place(name);
        let _ = std::fs::remove_file(&link);
        if hard {
            std::fs::hard_link(&mine, &link).unwrap();
        } else {
            std::os::unix::fs::symlink(&mine, &link).unwrap();
        }
        assert!(draw(&mine, &link).contains("this is the document itself"));
        // The link as the document and the file as the picture.
        assert!(draw(&link, &mine).contains("this is the document itself"));
    }
}

#[test]
fn b6_a_picture_is_not_drawn_over_another_document() {
    let (mine, other) = (document("b6-a.hand.json"), document("b6-b.hand.json"));
    assert!(draw(&mine, &other).contains("end its name in .svg"));
    assert_eq!(
        std::fs::read(&other).unwrap(),
        std::fs::read(&mine).unwrap()
    );
}

#[test]
fn a_picture_is_drawn_anew_over_an_old_one() {
    let mine = document("anew.hand.json");
    let out = place("anew.svg");
    std::fs::write(&out, "an old picture").unwrap();
    let told = handstand(&["draw", mine.to_str().unwrap(), out.to_str().unwrap()]);
    assert_eq!(told.status.code(), Some(0), "{}", text(&told.stderr));
    assert!(std::fs::read_to_string(&out).unwrap().starts_with("<svg"));
}

/// A picture goes through a link to what it leads to, and into a device as it is.
#[cfg(unix)]
#[test]
fn links_and_devices_stay() {
    let mine = document("stay.hand.json");
    let (link, real) = (place("stay-link.svg"), place("stay-real.svg"));
    std::fs::write(&real, "an old picture").unwrap();
    let _ = std::fs::remove_file(&link);
    std::os::unix::fs::symlink(&real, &link).unwrap();
    let told = handstand(&["draw", mine.to_str().unwrap(), link.to_str().unwrap()]);
    assert_eq!(told.status.code(), Some(0), "{}", text(&told.stderr));
    assert!(link.is_symlink());
    assert!(std::fs::read_to_string(&real).unwrap().starts_with("<svg"));
    let told = handstand(&["draw", mine.to_str().unwrap(), "/dev/stdout"]);
    assert!(
        text(&told.stdout).starts_with("<svg"),
        "{}",
        text(&told.stderr)
    );
}

/// A disk that fills up: here a limit on what a process may write.
#[cfg(unix)]
#[test]
fn b6_the_old_picture_stays_when_the_new_cannot_be_written() {
    let mine = document("full.hand.json");
    let folder = place("full");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir(&folder).unwrap();
    let out = folder.join("full.svg");
    std::fs::write(&out, "an old picture").unwrap();
    let told = Command::new("sh")
        .args(["-c", "trap '' XFSZ; ulimit -f 4; exec \"$@\"", "sh"])
        .arg(env!("CARGO_BIN_EXE_handstand"))
        .args(["draw", mine.to_str().unwrap(), out.to_str().unwrap()])
        .output()
        .unwrap();
    let said = text(&told.stderr);
    assert_eq!(told.status.code(), Some(2), "{said}");
    assert!(
        said.contains("cannot be written") && said.lines().count() == 1,
        "{said}"
    );
    assert_eq!(std::fs::read_to_string(&out).unwrap(), "an old picture");
    let left = std::fs::read_dir(&folder).unwrap().count();
    assert_eq!(left, 1, "nothing half-written is left beside it");
}

/// A name that leads to a document is a document's, whatever it ends in.
#[cfg(unix)]
#[test]
fn b6_a_picture_is_not_drawn_over_another_document_through_a_link() {
    let (mine, other) = (document("b6-c.hand.json"), document("b6-d.hand.json"));
    let link = place("b6-other.svg");
    let _ = std::fs::remove_file(&link);
    std::os::unix::fs::symlink(&other, &link).unwrap();
    assert!(draw(&mine, &link).contains("end its name in .svg"));
    assert_eq!(
        std::fs::read(&other).unwrap(),
        std::fs::read(&mine).unwrap()
    );
}

/// A new name beside it would be taken in the folder, but the old file was not to be written.
#[test]
fn b6_a_file_that_may_only_be_read_stays() {
    let mine = document("read-only.hand.json");
    let out = place("read-only.svg");
    let may_write = |may: bool| {
        if let Ok(old) = out.metadata() {
            let mut permissions = old.permissions();
            #[allow(clippy::permissions_set_readonly_false)]
            permissions.set_readonly(!may);
            std::fs::set_permissions(&out, permissions).unwrap();
        }
    };
    may_write(true);
    std::fs::write(&out, "an old picture").unwrap();
    may_write(false);
    let told = handstand(&["draw", mine.to_str().unwrap(), out.to_str().unwrap()]);
    let said = text(&told.stderr);
    assert_eq!(told.status.code(), Some(2), "{said}");
    assert!(said.contains("cannot be written"), "{said}");
    assert_eq!(std::fs::read_to_string(&out).unwrap(), "an old picture");
}

/// A link to what is not there yet leads to the picture afterwards.
#[cfg(unix)]
#[test]
fn a_link_that_leads_nowhere_yet_stays() {
    let mine = document("dangling.hand.json");
    let folder = place("dangling");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(folder.join("real")).unwrap();
    // By way of another link, each read from its own folder.
    let (first, second) = (folder.join("first.svg"), folder.join("real/second.svg"));
    std::os::unix::fs::symlink("real/second.svg", &first).unwrap();
    std::os::unix::fs::symlink("picture.svg", &second).unwrap();
    let told = handstand(&["draw", mine.to_str().unwrap(), first.to_str().unwrap()]);
    assert_eq!(told.status.code(), Some(0), "{}", text(&told.stderr));
    assert!(first.is_symlink() && second.is_symlink());
    let drawn = std::fs::read_to_string(folder.join("real/picture.svg")).unwrap();
    assert!(drawn.starts_with("<svg"));
}
