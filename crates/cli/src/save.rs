//! Writing a file so that what it held before is lost only when the new is whole.
use std::fs;
use std::io::{Result, Write};
use std::path::Path;

/// Writes beside the file, then renames: whoever reads meets the old text or the new, and a full
/// disk leaves the old.
pub fn whole(path: &Path, text: &str) -> Result<()> {
    let old = path.metadata().ok();
    // A device or a pipe has nothing to keep, and has to stay what it is.
    if old.as_ref().is_some_and(|old| !old.is_file()) {
        return fs::write(path, text);
    }
    // A link goes on leading where it led.
    let path = path.canonicalize().unwrap_or_else(|_| path.to_owned());
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
