//! The mailboxes of the families: letters that the service wrote into its folder, each read once.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::PathBuf;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// How long a look into the folder serves everybody.
const FRESH: Duration = Duration::from_millis(200);

/// All mailboxes. Clones look into the same.
#[derive(Clone)]
pub struct Post {
    folder: PathBuf,
    boxes: Arc<Mutex<Boxes>>,
}

#[derive(Default)]
struct Boxes {
    looked: Option<Instant>,
    known: BTreeSet<String>,
    questions: BTreeMap<String, Vec<String>>,
}

impl Post {
    /// The letters of a folder.
    pub fn new(folder: PathBuf) -> Self {
        Self { folder, boxes: Arc::default() }
    }

    /// The ways of the questions that came for an address since it asked last, oldest first.
    pub fn questions(&self, address: &str) -> Vec<String> {
        let mut boxes = self.boxes.lock().expect("nobody panics here");
        if boxes.looked.is_none_or(|looked| looked.elapsed() > FRESH) {
            self.collect(&mut boxes);
            boxes.looked = Some(Instant::now());
        }
        boxes.questions.remove(address).unwrap_or_default()
    }

    /// Letters are renamed into the folder when they are whole; one that cannot be read now is read the next time.
    fn collect(&self, boxes: &mut Boxes) {
        let entries = fs::read_dir(&self.folder).into_iter().flatten().flatten();
        let mut names: Vec<String> = entries.filter_map(|entry| entry.file_name().into_string().ok()).collect();
        names.retain(|name| !name.starts_with('.') && !boxes.known.contains(name));
        names.sort();
        for name in names {
            let Ok(bytes) = fs::read(self.folder.join(&name)) else { continue };
            if let Some((to, way)) = question(&String::from_utf8_lossy(&bytes)) {
                boxes.questions.entry(to).or_default().push(way);
            }
            boxes.known.insert(name);
        }
    }
}

/// To whom a letter goes and where its question is answered; nothing when it asks nothing.
fn question(letter: &str) -> Option<(String, String)> {
    let to = letter.lines().find_map(|line| line.strip_prefix("To: "))?;
    let to = to.rsplit('<').next()?.trim_end_matches('>').trim().to_owned();
    let text = letter.replace("=\r\n", "").replace("=3D", "=");
    let from = text.find("/answers/")?;
    let way: String = text[from..].chars().take_while(|c| c.is_ascii_graphic() && !"?\"<>".contains(*c)).collect();
    Some((to, way))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_6_the_way_of_a_question_is_found_in_a_folded_letter() {
        let letter = "From: a@example.org\r\nTo: \"Pat B\" <pat@example.org>\r\n\r\nOpen\r\nhttp://localhost:1/answers/ab=\r\nc_-9?lang=3Den\r\n";
        assert_eq!(question(letter), Some(("pat@example.org".to_owned(), "/answers/abc_-9".to_owned())));
        assert_eq!(question("To: pat@example.org\r\n\r\nAll is well.\r\n"), None);
    }
}
