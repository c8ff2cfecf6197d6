//! Draws the keys of a new installation into files that only their owner may open. Never writes over a file.

use std::fs::OpenOptions;
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

use anyhow::{Context, Result};
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use zeroize::Zeroizing;

use crate::outside::cipher::KeyRing;
use crate::outside::random::Random;
use crate::settings::KeyFiles;

/// Draws both key files.
///
/// # Errors
/// A file is there already, or cannot be written.
pub(super) fn draw(files: &KeyFiles, random: &Random) -> Result<()> {
    write_new(&files.field, &KeyRing::fresh(random).to_text())?;
    let pseudonym = Zeroizing::new(STANDARD.encode(Zeroizing::new(random.bytes::<32>()).as_slice()));
    write_new(&files.pseudonym, &pseudonym)
}

fn write_new(path: &Path, text: &str) -> Result<()> {
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    }
    let told = || format!("the key file {} cannot be written", path.display());
    let mut file = OpenOptions::new().write(true).create_new(true).mode(0o600).open(path).with_context(told)?;
    writeln!(file, "{}", text.trim_end()).with_context(told)?;
    file.sync_all().with_context(told)
}
