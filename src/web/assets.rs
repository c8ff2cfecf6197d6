//! The files under `templates/static`, built into the program, each at an address that changes with its bytes.

use std::borrow::Cow;
use std::collections::HashMap;
use std::io::Write;
use std::sync::LazyLock;

use actix_web::web::Bytes;
use flate2::Compression;
use flate2::write::GzEncoder;
use rust_embed::RustEmbed;

#[derive(RustEmbed)]
#[folder = "templates/static"]
struct Files;

/// The fingerprint of each file: the first 16 hex digits of its SHA-256.
static FINGERPRINTS: LazyLock<HashMap<String, String>> = LazyLock::new(|| {
    Files::iter()
        .filter_map(|name| {
            let file = Files::get(&name)?;
            let hash = file.metadata.sha256_hash();
            let print = hash[..8].iter().map(|byte| format!("{byte:02x}")).collect();
            Some((name.into_owned(), print))
        })
        .collect()
});

/// Each text packed once, as small as gzip makes it.
static PACKED: LazyLock<HashMap<String, Bytes>> = LazyLock::new(|| {
    let pack = |name: Cow<'static, str>| {
        let file = Files::get(&name).filter(|_| is_text(kind_of(&name)))?;
        let mut packer = GzEncoder::new(Vec::new(), Compression::best());
        packer.write_all(&file.data).ok()?;
        Some((name.into_owned(), Bytes::from(packer.finish().ok()?)))
    };
    Files::iter().filter_map(pack).collect()
});

/// One file with its fixed type.
pub struct Asset {
    /// The bytes.
    pub bytes: Bytes,
    /// The same in gzip; none for what is packed by its nature.
    pub packed: Option<Bytes>,
    /// The `Content-Type`.
    pub kind: &'static str,
}

/// The address of a file, as in `/static/0123456789abcdef/css/parts.css`.
///
/// A name that is no file gives an address that answers 404; under test it stops the test.
#[must_use]
pub fn address(name: &str) -> String {
    let print = FINGERPRINTS.get(name);
    debug_assert!(print.is_some(), "there is no file templates/static/{name}");
    format!("/static/{}/{name}", print.map_or("none", String::as_str))
}

/// The file of that name, if its fingerprint is still the asked one.
#[must_use]
pub fn find(print: &str, name: &str) -> Option<Asset> {
    if FINGERPRINTS.get(name).is_none_or(|now| now != print) {
        return None;
    }
    let file = Files::get(name)?;
    let bytes = match file.data {
        Cow::Borrowed(built_in) => Bytes::from_static(built_in),
        Cow::Owned(read) => Bytes::from(read),
    };
    Some(Asset { bytes, packed: PACKED.get(name).cloned(), kind: kind_of(name) })
}

fn is_text(kind: &str) -> bool {
    !matches!(kind, "image/png" | "image/x-icon" | "application/octet-stream")
}

fn kind_of(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, end)| end) {
        Some("css") => "text/css; charset=utf-8",
        Some("js" | "mjs") => "text/javascript; charset=utf-8",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("ico") => "image/x-icon",
        Some("json") => "application/json",
        Some("webmanifest") => "application/manifest+json",
        _ => "application/octet-stream",
    }
}
