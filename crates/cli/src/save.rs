//! Writing a file so that what it held before is lost only when the new is whole.
use std::fs;
use std::io::{Error, ErrorKind, Result, Write};
use std::path::{Path, PathBuf};

/// Links followed one after the other, as many as Linux follows.
const MOST_LINKS: usize = 40;

/// Where a path leads through its links, even to a file that is not there yet.
pub fn place(path: &Path) -> PathBuf {
    let mut place = path.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(to) = place.read_link() else {
            break;
        };
        // A link is read from the folder that it is in.
        place = place.parent().unwrap_or(Path::new("")).join(to);
    }
    place
}

/// Writes beside the file, then renames: whoever reads meets the old text or the new, and a full
/// disk leaves the old.
pub fn whole(path: &Path, text: &str) -> Result<()> {
    let old = path.metadata().ok();
    // A device or a pipe has nothing to keep, and has to stay what it is.
    if old.as_ref().is_some_and(|old| !old.is_file()) {
        return fs::write(path, text);
    }
    // Renaming asks only whether the folder may be written.
    if old.as_ref().is_some_and(|old| old.permissions().readonly()) {
        let why = "what is there may only be read";
        return Err(Error::new(ErrorKind::PermissionDenied, why));
    }
    // A link goes on leading where it led.
    let path = place(path);
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder,
        _ => Path::new("."),
    };
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    let mut beside = builder.prefix(".handstand-").tempfile_in(folder)?;
    beside.write_all(text.as_bytes())?;
    if let Some(old) = old {
        beside.as_file().set_permissions(old.permissions())?;
    }
    beside.as_file().sync_all()?;
    beside.persist(&path)?;
    Ok(())
}
