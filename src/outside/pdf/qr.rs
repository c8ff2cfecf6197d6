//! An address as a QR code, as dark runs to be filled. Draws nothing and knows no page.

use std::fmt::Write;

use fast_qr::{ECL, QRBuilder};

/// One run of dark modules, in modules from the top left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DarkRun {
    /// Modules from the left edge.
    pub left: usize,
    /// Modules from the top edge.
    pub top: usize,
    /// Modules in the run.
    pub length: usize,
}

/// A QR code: its side in modules, without the quiet zone, and its dark runs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Symbol {
    /// Modules along one side.
    pub side: usize,
    /// Dark runs, row by row.
    pub runs: Vec<DarkRun>,
}

impl Symbol {
    /// The dark modules as one path of an SVG drawing, one unit a module.
    pub fn svg_path(&self) -> String {
        let mut path = String::new();
        for DarkRun { left, top, length } in &self.runs {
            write!(path, "M{left} {top}h{length}v1h-{length}z").expect("a String takes all");
        }
        path
    }

    /// The part of the drawing that is shown: the modules with the four of the quiet zone around them.
    pub fn svg_box(&self) -> String {
        format!("-4 -4 {0} {0}", self.side + 8)
    }
}

/// Encodes an address with error correction M: paper is folded and stained, but the symbol must stay coarse.
/// `None` if the address is too long for any symbol.
pub fn symbol(address: &str) -> Option<Symbol> {
    let code = QRBuilder::new(address).ecl(ECL::M).build().ok()?;
    let runs = (0..code.size).flat_map(|top| dark_runs(top, &code[top])).collect();
    Some(Symbol { side: code.size, runs })
}

/// The dark runs of one row.
fn dark_runs(top: usize, row: &[fast_qr::Module]) -> Vec<DarkRun> {
    let mut runs: Vec<DarkRun> = Vec::new();
    for (left, _) in row.iter().enumerate().filter(|(_, module)| module.value()) {
        match runs.last_mut() {
            Some(run) if run.left + run.length == left => run.length += 1,
            _ => runs.push(DarkRun { left, top, length: 1 }),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_3_a_symbol_starts_with_its_finder_and_runs_do_not_touch() {
        let symbol = symbol("https://waymark.example.org/c/7K4M92QXABCDEFGHJKMN44").expect("fits");
        assert_eq!(symbol.side, 33);
        assert_eq!(symbol.runs[0], DarkRun { left: 0, top: 0, length: 7 });
        for pair in symbol.runs.windows(2) {
            assert!(pair[0].top < pair[1].top || pair[0].left + pair[0].length < pair[1].left);
        }
    }

    #[test]
    fn house_3_an_address_beyond_any_symbol_gives_none() {
        assert_eq!(symbol(&"x".repeat(5000)), None);
    }
}
