//! The app's module taken apart: what every page needs, and parts fetched when first wanted.
//!
//! `crates/app/src/pages/parts.rs` says what goes into which part. Splitting comes before wasm-bindgen,
//! which sees the main module alone; a script of links tells it how the parts are loaded.

use anyhow::{Context, Result, anyhow};
use std::fs;
use std::path::Path;
use wasm_split_cli_support::{Options, transform};

/// The script of links, by the name that the module imports it from.
pub const LINKS: &str = "parts.js";

pub struct Parts {
    /// The main module, for wasm-bindgen.
    pub main: Vec<u8>,
    /// By file name: what is loaded when wanted, and what several such share.
    pub modules: Vec<(String, Vec<u8>)>,
    pub links: String,
}

/// Takes a module apart that was linked with its relocations; `name` is its script's.
///
/// # Errors
/// When it has no relocations, or its parts cannot be written to the folder.
pub fn split(wasm: &Path, name: &str, folder: &Path, debug: bool) -> Result<Parts> {
    if folder.exists() {
        fs::remove_dir_all(folder)?;
    }
    let input = fs::read(wasm)?;
    let (main, link, script) = (
        folder.join("main.wasm"),
        format!("./{LINKS}"),
        format!("./{name}.js"),
    );
    let mut options = Options::new(&input);
    options.output_dir = folder;
    options.main_out_path = &main;
    options.link_name = &link;
    options.main_module = &script;
    let done = transform(options).map_err(|why| anyhow!("{why:?}"))?;
    let mut modules = Vec::new();
    for path in done.split_modules {
        let file = path.file_name().context("a part without a name")?;
        let bytes = fs::read(&path)?;
        modules.push((
            file.to_string_lossy().into_owned(),
            if debug { bytes } else { stripped(&bytes)? },
        ));
    }
    Ok(Parts {
        main: fs::read(&main)?,
        modules,
        links: fs::read_to_string(folder.join(LINKS))?,
    })
}

/// Without the custom sections (names, where things came from), as wasm-bindgen leaves the main
/// module.
fn stripped(module: &[u8]) -> Result<Vec<u8>> {
    let (head, mut rest) = module.split_at_checked(8).context("no module")?;
    let mut kept = head.to_vec();
    while let Some(&kind) = rest.first() {
        let (size, length) = number(&rest[1..])?;
        let section = rest
            .split_at_checked(1 + length + size)
            .context("a section ends beyond its module")?;
        if kind != 0 {
            kept.extend_from_slice(section.0);
        }
        rest = section.1;
    }
    Ok(kept)
}

/// A LEB128 number, and the bytes that it takes.
fn number(bytes: &[u8]) -> Result<(usize, usize)> {
    let mut value = 0;
    for (index, byte) in bytes.iter().take(5).enumerate() {
        value |= usize::from(byte & 0x7f) << (7 * index);
        if byte & 0x80 == 0 {
            return Ok((value, index + 1));
        }
    }
    Err(anyhow!("a section without a size"))
}

#[cfg(test)]
mod tests {
    use super::stripped;

    const HEAD: [u8; 8] = *b"\0asm\x01\0\0\0";

    #[test]
    fn custom_sections_go_and_others_stay() {
        let module = [
            &HEAD[..],
            &[0, 3, 1, b'n', 7],
            &[10, 1, 0],
            &[0, 0x81, 0, 0],
        ]
        .concat();
        let kept = stripped(&module).expect("a sound module");
        assert_eq!(kept, [&HEAD[..], &[10, 1, 0]].concat());
    }

    #[test]
    fn a_module_cut_short_is_told() {
        assert!(stripped(&HEAD[..4]).is_err());
        assert!(stripped(&[&HEAD[..], &[10, 9, 0]].concat()).is_err());
    }
}
