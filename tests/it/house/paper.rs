//! Documents as other programs read them: poppler the words, zbar the codes, qpdf what is written inside.

use std::path::{Path, PathBuf};
use std::process::Command;

use super::database::scratch;

fn kept(bytes: &[u8]) -> PathBuf {
    let path = scratch("paper").join("paper.pdf");
    std::fs::write(&path, bytes).expect("a file");
    path
}

fn tool(program: &str, arguments: &[&str]) -> Vec<u8> {
    let ran = Command::new(program).args(arguments).output();
    let ran = ran.unwrap_or_else(|fault| panic!("{program} must be installed to check the paper: {fault}"));
    assert!(ran.status.success(), "{program}: {}", String::from_utf8_lossy(&ran.stderr));
    ran.stdout
}

fn text(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

/// The words of each page.
pub fn pages_of(bytes: &[u8]) -> Vec<String> {
    let words = tool("pdftotext", &["-layout", text(&kept(bytes)), "-"]);
    let words = String::from_utf8(words).expect("text");
    words.trim_end_matches('\u{c}').split('\u{c}').map(str::to_owned).collect()
}

/// What the code on each page says, read off its picture.
pub fn codes_of(bytes: &[u8]) -> Vec<String> {
    let path = kept(bytes);
    let pictures = path.with_extension("");
    tool("pdftoppm", &["-r", "150", "-gray", "-png", text(&path), text(&pictures)]);
    let folder = path.parent().expect("a folder");
    let files = std::fs::read_dir(folder).expect("a folder").map(|file| file.expect("a file").path());
    let mut files: Vec<PathBuf> = files.filter(|file| file.extension().is_some_and(|kind| kind == "png")).collect();
    files.sort();
    let read = |file: &PathBuf| tool("zbarimg", &["--raw", "-q", "-Sdisable", "-Sqrcode.enable", text(file)]);
    files.iter().map(|file| String::from_utf8(read(file)).expect("text").trim().to_owned()).collect()
}

/// The operators of the page language with their numbers, line by line.
pub fn inside(bytes: &[u8]) -> String {
    let written = tool("qpdf", &["--qdf", "--object-streams=disable", text(&kept(bytes)), "-"]);
    String::from_utf8_lossy(&written).into_owned()
}
