//! The site's files: by path, those that may be kept for ever by a name that has their content's
//! hash, packed when written.

use anyhow::{Context, Result, ensure};
use serde_json::json;
use std::collections::BTreeMap;
use std::fs;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Write;
use std::path::{Path, PathBuf};

/// The folder's files by path, and the hashed name each plain name became.
#[derive(Default)]
pub struct Site {
    pub files: BTreeMap<String, Vec<u8>>,
    /// The hashed name that each plain name became.
    pub hashed: BTreeMap<String, String>,
}

impl Site {
    pub fn add(&mut self, path: &str, bytes: Vec<u8>) {
        self.files.insert(path.to_owned(), bytes);
    }

    /// A file whose name has a hash of its content already.
    pub fn add_lasting(&mut self, path: &str, bytes: Vec<u8>) {
        self.hashed.insert(path.to_owned(), path.to_owned());
        self.add(path, bytes);
    }

    pub fn add_hashed(&mut self, path: &str, bytes: Vec<u8>) -> Result<()> {
        let name = with_hash(path, &hash(&bytes))?;
        self.hashed.insert(path.to_owned(), name.clone());
        self.add(&name, bytes);
        Ok(())
    }

    /// The text with each `"./NAME"` changed to its hashed name. A name not found is a mistake.
    pub fn with_hashed_names(&self, text: &str, names: &[&str]) -> Result<String> {
        let mut text = text.to_owned();
        for name in names {
            let plain = format!("\"./{name}\"");
            ensure!(text.contains(&plain), "nothing in www/ mentions {plain}");
            text = text.replace(&plain, &format!("\"./{}\"", self.hashed[*name]));
        }
        Ok(text)
    }

    /// The worker with the list of what to keep for use without a network, and a version that
    /// changes when any of it does.
    pub fn service_worker(&self, source: &str) -> Result<String> {
        let lasting: Vec<&String> = self.hashed.values().collect();
        let fresh: Vec<&str> = (self.files.keys().filter(|path| !lasting.contains(path)))
            .map(|path| if path == "index.html" { "./" } else { path })
            .collect();
        let mut text = source.to_owned();
        let version = hash(&(&self.files, source));
        for (name, value) in [
            ("VERSION", json!(version)),
            ("LASTING", json!(lasting)),
            ("FRESH", json!(fresh)),
        ] {
            let slot = format!("__{name}__");
            ensure!(text.contains(&slot), "www/sw.js does not mention {slot}");
            text = text.replace(&slot, &value.to_string());
        }
        Ok(text)
    }

    /// Gives each file's path and its bytes by Brotli, if they are to be compressed.
    pub fn write(&self, folder: &Path, compress: bool) -> Result<Vec<(&str, usize)>> {
        let mut sizes = Vec::new();
        if folder.exists() {
            fs::remove_dir_all(folder)?;
        }
        for (name, bytes) in &self.files {
            let path = folder.join(name);
            fs::create_dir_all(path.parent().context("a file without a folder")?)?;
            fs::write(&path, bytes)?;
            if compress {
                let packed = brotli(bytes)?;
                fs::write(with_ending(&path, ".br"), &packed)?;
                sizes.push((name.as_str(), packed.len()));
                fs::write(with_ending(&path, ".gz"), gzip(bytes)?)?;
            }
        }
        Ok(sizes)
    }
}

fn brotli(bytes: &[u8]) -> Result<Vec<u8>> {
    let parameters = brotli::enc::BrotliEncoderParams {
        quality: 11,
        lgwin: 22,
        size_hint: bytes.len(),
        ..Default::default()
    };
    let mut packed = Vec::new();
    brotli::BrotliCompress(&mut &bytes[..], &mut packed, &parameters)?;
    Ok(packed)
}

fn gzip(bytes: &[u8]) -> Result<Vec<u8>> {
    let mut encoder = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    encoder.write_all(bytes)?;
    Ok(encoder.finish()?)
}

pub fn hash(value: &impl Hash) -> String {
    let mut hasher = DefaultHasher::new();
    value.hash(&mut hasher);
    format!("{:016x}", hasher.finish())
}

pub fn with_hash(path: &str, hash: &str) -> Result<String> {
    let (stem, ending) = path
        .rsplit_once('.')
        .context("a hashed file needs an ending")?;
    Ok(format!("{stem}-{hash}.{ending}"))
}

fn with_ending(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    name.into()
}
