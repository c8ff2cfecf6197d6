//! Codes of pages as zbar reads them, an independent reader.

use std::process::Command;

/// What every code of a class on a page says, in their order.
pub fn codes_on(page: &str, class: &str) -> Vec<String> {
    let is_there = Command::new("zbarimg").arg("--version").output().is_ok();
    assert!(is_there, "zbarimg of zbar-tools reads the code; tests/run installs it");
    let start = format!("<svg class=\"{class}\"");
    let codes = page.split(start.as_str()).skip(1).filter_map(|rest| rest.split("</svg>").next());
    let read = |svg: &str| {
        let part =
            |name: &str| svg.split(&format!("{name}=\"")).nth(1).and_then(|rest| rest.split('"').next()).expect("it");
        read_code(part("viewBox"), part(" d"))
    };
    codes.map(read).collect()
}

/// Draws the path as a bitmap and lets zbar, an independent reader, read it.
fn read_code(view_box: &str, path: &str) -> String {
    let side: usize = view_box.split(' ').nth(2).and_then(|side| side.parse().ok()).expect("a side");
    let mut dark = vec![vec![false; side]; side];
    for run in path.split('M').filter(|run| !run.is_empty()) {
        let numbers: Vec<usize> =
            run.split(|c: char| !c.is_ascii_digit()).filter_map(|number| number.parse().ok()).collect();
        let (left, top, length) = (numbers[0] + 4, numbers[1] + 4, numbers[2]);
        dark[top][left..left + length].fill(true);
    }
    let zoom = 6;
    let mut bitmap = format!("P1 {0} {0}\n", side * zoom);
    for y in 0..side * zoom {
        for x in 0..side * zoom {
            bitmap.push(if dark[y / zoom][x / zoom] { '1' } else { '0' });
        }
        bitmap.push('\n');
    }
    let folder = super::database::scratch("code");
    let file = folder.join("code.pbm");
    std::fs::write(&file, bitmap).expect("a picture");
    let read = Command::new("zbarimg").args(["--quiet", "--raw"]).arg(&file).output().expect("zbarimg runs");
    std::fs::remove_dir_all(&folder).expect("the picture goes");
    String::from_utf8(read.stdout).expect("text").trim().to_owned()
}
