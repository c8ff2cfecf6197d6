//! How long words are made to fit: a smaller size, two lines, or lines of about the same length. Draws nothing.

use super::font::Face;

/// The largest size, at most `size`, at which a text is no wider than `width`.
pub(super) fn fitted(face: Face, text: &str, size: f32, width: f32) -> f32 {
    let natural = face.width(text, size);
    if natural <= width { size } else { (size * width / natural * 20.0).floor() / 20.0 }
}

/// The name in one line of 38 points down to 24, else in two lines, which shrink as far as they must.
pub(super) fn name_lines(name: &str, width: f32) -> (Vec<&str>, f32) {
    let size = fitted(Face::Bold, name, 38.0, width);
    if size >= 24.0 {
        return (vec![name], size);
    }
    let middle = name.len() / 2;
    let nearest = name.match_indices(' ').map(|(place, _)| place).min_by_key(|place| place.abs_diff(middle));
    match nearest {
        Some(place) => {
            let lines = vec![&name[..place], &name[place + 1..]];
            let size = lines.iter().map(|line| fitted(Face::Bold, line, 28.0, width)).fold(28.0, f32::min);
            (lines, size)
        }
        None => (vec![name], size),
    }
}

/// Breaks a text at spaces into lines no wider than `width`, of about the same width each.
pub(super) fn wrapped(text: &str, size: f32, width: f32) -> Vec<String> {
    let count = (Face::Regular.width(text, size) / width).ceil().max(1.0);
    let mut goal = Face::Regular.width(text, size) / count;
    loop {
        let lines = broken(text, size, goal);
        if lines.len() as f32 <= count || goal >= width {
            return lines;
        }
        goal = (goal * 1.02).min(width);
    }
}

/// Breaks a text at spaces wherever the next word would pass `goal`.
fn broken(text: &str, size: f32, goal: f32) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if Face::Regular.width(&format!("{line} {word}"), size) <= goal => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_string()),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn house_3_a_short_name_keeps_its_size_and_a_long_one_breaks_near_its_middle() {
        assert_eq!(name_lines("Bo", 620.0), (vec!["Bo"], 38.0));
        let long = "Maximiliana Guadalupe de los Ángeles Etxeberria-Villaseñor Lindqvist";
        let (lines, size) = name_lines(long, 620.0);
        assert_eq!(lines, ["Maximiliana Guadalupe de los Ángeles", "Etxeberria-Villaseñor Lindqvist"]);
        assert!((20.0..=28.0).contains(&size), "{size}");
    }

    proptest! {
        #[test]
        fn house_3_no_name_is_wider_than_its_place(name in "[A-Za-zÀ-ɏ]{1,30}( [A-Za-zÀ-ɏ-]{1,30}){0,5}") {
            let (lines, size) = name_lines(&name, 620.0);
            prop_assert_eq!(lines.join(" "), name.clone());
            for line in lines {
                prop_assert!(Face::Bold.width(line, size) <= 620.01, "{} at {}", line, size);
            }
        }

        #[test]
        fn house_3_wrapped_lines_keep_every_word_and_stay_in_the_width(text in "[a-zñ.]{1,12}( [a-zñ.]{1,12}){0,60}") {
            let lines = wrapped(&text, 8.6, 640.0);
            prop_assert_eq!(lines.join(" "), text.clone());
            for line in lines {
                prop_assert!(Face::Regular.width(&line, 8.6) <= 640.01, "{}", line);
            }
        }
    }
}
