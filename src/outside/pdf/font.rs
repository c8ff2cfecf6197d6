//! The faces of the certificate: which letters they have, how wide a text runs, and the cut to one document's letters.
//! Knows nothing of pages or words; the files and their licence stand in `seed/fonts/`.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use printpdf::{FontId, ParsedFont};
use sha2::{Digest, Sha256};
use subsetter::GlyphRemapper;
use unicode_normalization::char::is_combining_mark;

/// One of the two faces of Noto Serif.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Face {
    /// Running text.
    Regular,
    /// The program, the rider's name and the code.
    Bold,
}

impl Face {
    /// The name of the face as the document shows it.
    fn name(self) -> &'static str {
        match self {
            Self::Regular => "NotoSerif-Regular",
            Self::Bold => "NotoSerif-Bold",
        }
    }

    /// The whole face, parsed once in a process.
    fn whole(self) -> &'static ParsedFont {
        static FACES: [OnceLock<ParsedFont>; 2] = [const { OnceLock::new() }; 2];
        let bytes: &[u8] = match self {
            Self::Regular => include_bytes!("../../../seed/fonts/NotoSerif-Regular.ttf"),
            Self::Bold => include_bytes!("../../../seed/fonts/NotoSerif-Bold.ttf"),
        };
        FACES[self as usize]
            .get_or_init(|| ParsedFont::from_bytes(bytes, 0, &mut Vec::new()).expect("the embedded font parses"))
    }

    /// Whether the face can set this character by itself. Combining marks are refused even where a glyph exists: they
    /// are not shaped, so a mark would stand beside its letter.
    pub(super) fn has(self, character: char) -> bool {
        !character.is_control()
            && !is_combining_mark(character)
            && self.whole().lookup_glyph_index(character.into()).is_some_and(|glyph| glyph != 0)
    }

    /// How wide a text runs, in points, at a size in points. Characters that the face lacks count nothing.
    pub(super) fn width(self, text: &str, size: f32) -> f32 {
        let face = self.whole();
        let units: u32 = text
            .chars()
            .filter_map(|c| face.lookup_glyph_index(c.into()))
            .filter_map(|glyph| face.get_glyph_width(glyph))
            .map(u32::from)
            .sum();
        units as f32 * size / f32::from(face.units_per_em)
    }

    /// The face cut to these characters, under a name that follows from them, so that equal certificates have equal
    /// bytes.
    ///
    /// # Errors
    /// Those of the cutter; none is known for the embedded files.
    pub(super) fn cut(self, characters: &BTreeSet<char>) -> Result<(FontId, ParsedFont), subsetter::Error> {
        let whole = self.whole();
        let mut places = GlyphRemapper::new();
        let mut glyphs = BTreeMap::new();
        let mut widths = BTreeMap::from([(0, whole.get_glyph_width(0).unwrap_or(0))]);
        for &character in characters {
            if let Some(old) = whole.lookup_glyph_index(character.into()) {
                let new = places.remap(old);
                glyphs.insert(character.into(), new);
                widths.insert(new, whole.get_glyph_width(old).unwrap_or(0));
            }
        }
        let cut = ParsedFont {
            original_bytes: subsetter::subset(&whole.original_bytes, 0, &places)?,
            font_index: 0,
            font_name: None,
            codepoint_to_glyph: glyphs,
            glyph_widths: widths,
            units_per_em: whole.units_per_em,
            font_metrics: whole.font_metrics.clone(),
            font_type: whole.font_type,
            pdf_font_metrics: whole.pdf_font_metrics.clone(),
        };
        Ok((FontId(format!("{}+{}", tag_of(characters), self.name())), cut))
    }
}

/// The six capitals that mark a cut font (ISO 32000-1, 9.6.4), drawn from the letters that it holds.
fn tag_of(characters: &BTreeSet<char>) -> String {
    let text: String = characters.iter().collect();
    let digest = Sha256::digest(text.as_bytes());
    digest.iter().take(6).map(|byte| char::from(b'A' + byte % 26)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_3_each_face_has_the_letters_of_names_and_no_loose_marks() {
        for face in [Face::Regular, Face::Bold] {
            for letter in "AZaz09éëễŁøñçğßÅžőțÐþỹ’-–·&".chars() {
                assert!(face.has(letter), "{face:?} lacks {letter}");
            }
            for other in ['\u{301}', '\n', '\u{0}', '漢', 'ع', '🏍', 'Ж', '\u{200b}'] {
                assert!(!face.has(other), "{face:?} claims {}", other.escape_unicode());
            }
        }
    }

    #[test]
    fn house_3_widths_add_up_and_scale() {
        let one = Face::Regular.width("Nguyễn", 10.0);
        assert!((Face::Regular.width("NguyễnNguyễn", 10.0) - 2.0 * one).abs() < 0.001);
        assert!((Face::Regular.width("Nguyễn", 30.0) - 3.0 * one).abs() < 0.001);
        assert!(Face::Bold.width("Nguyễn", 10.0) > one);
    }
}
