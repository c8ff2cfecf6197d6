//! Reads the forms of a page as a browser would: where they go, what each field is called, what it would send.

use super::browser::unescaped;

/// How a field gets its value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A person types it and sees it.
    Typed,
    /// A person types it and it is never shown again.
    Secret,
    /// A person ticks it or not.
    Ticked,
    /// A person chooses one of a few: a list, buttons.
    Chosen,
    /// The page carries it.
    Hidden,
}

/// One name of a form, with all the values that the page offers for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    pub name: String,
    pub kind: Kind,
    /// What the form sends when nobody touches it; nothing for a box that is not ticked.
    pub value: Option<String>,
    /// What a list, a box or a button offers.
    pub offers: Vec<String>,
}

/// One form of a page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Form {
    /// The page that it stands on.
    pub page: String,
    pub posts: bool,
    /// Whether it is sent in parts, because one of its answers is a file.
    pub in_parts: bool,
    pub action: String,
    pub fields: Vec<Field>,
}

/// A tag with its attributes.
pub struct Tag<'a> {
    pub name: &'a str,
    pub attributes: Vec<(String, String)>,
    /// What stands between this tag and the next.
    pub text: &'a str,
}

impl Tag<'_> {
    /// An attribute's value, entities read.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.attributes.iter().find(|(found, _)| found == name).map(|(_, value)| value.as_str())
    }

    fn has(&self, name: &str) -> bool {
        self.get(name).is_some()
    }
}

/// Every tag of a page in its order. Our pages quote their attributes.
pub fn tags(html: &str) -> Vec<Tag<'_>> {
    html.split('<').skip(1).map(tag).collect()
}

fn tag(piece: &str) -> Tag<'_> {
    let end = end_of_tag(piece);
    let (inside, text) = (&piece[..end], piece.get(end + 1..).unwrap_or_default());
    let name = inside.split(|c: char| c.is_whitespace() || c == '>').next().unwrap_or_default();
    Tag { name, attributes: attributes(&inside[name.len()..]), text }
}

fn end_of_tag(piece: &str) -> usize {
    let mut quoted = false;
    for (at, c) in piece.char_indices() {
        match c {
            '"' => quoted = !quoted,
            '>' if !quoted => return at,
            _ => {}
        }
    }
    piece.len()
}

fn attributes(text: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while !rest.is_empty() {
        let end = rest.find(|c: char| c == '=' || c.is_whitespace()).unwrap_or(rest.len());
        let name = rest[..end].to_owned();
        rest = &rest[end..];
        let mut value = String::new();
        if let Some(quoted) = rest.strip_prefix("=\"") {
            let close = quoted.find('"').unwrap_or(quoted.len());
            value = unescaped(&quoted[..close]);
            rest = quoted.get(close + 1..).unwrap_or_default();
        } else if let Some(bare) = rest.strip_prefix('=') {
            let close = bare.find(char::is_whitespace).unwrap_or(bare.len());
            value = bare[..close].to_owned();
            rest = &bare[close..];
        }
        found.push((name, value));
        rest = rest.trim_start_matches(['/', ' ', '\n', '\t', '\r']);
    }
    found
}

/// Every form of the page at `path`.
pub fn forms(path: &str, html: &str) -> Vec<Form> {
    let mut found: Vec<Form> = Vec::new();
    let mut list: Option<String> = None;
    let mut inside = false;
    for tag in tags(html) {
        match tag.name {
            "form" => {
                inside = true;
                let action = tag.get("action").filter(|action| !action.is_empty()).unwrap_or(path).to_owned();
                let posts = tag.get("method") == Some("post");
                let in_parts = tag.get("enctype") == Some("multipart/form-data");
                found.push(Form { page: path.to_owned(), posts, in_parts, action, fields: Vec::new() });
            }
            "/form" => inside = false,
            "/select" => list = None,
            _ => {}
        }
        let Some(form) = found.last_mut().filter(|_| inside) else { continue };
        match tag.name {
            "select" => {
                list = tag.get("name").map(str::to_owned);
                if let Some(name) = &list {
                    form.keep(name, Kind::Chosen, None, None);
                }
            }
            "option" => {
                if let Some(name) = &list {
                    let value = tag.get("value").unwrap_or_default().to_owned();
                    let chosen = tag.has("selected").then(|| value.clone());
                    form.keep(name, Kind::Chosen, chosen, Some(value));
                }
            }
            "input" => form.keep_input(&tag),
            "textarea" => {
                let text = tag.text.strip_prefix('\n').unwrap_or(tag.text);
                form.keep(tag.get("name").unwrap_or_default(), Kind::Typed, Some(unescaped(text)), None);
            }
            "button" => {
                let offer = tag.get("value").unwrap_or_default().to_owned();
                form.keep(tag.get("name").unwrap_or_default(), Kind::Chosen, Some(offer.clone()), Some(offer));
            }
            _ => {}
        }
    }
    found
}

impl Form {
    fn keep_input(&mut self, tag: &Tag<'_>) {
        let name = tag.get("name").unwrap_or_default();
        let value = tag.get("value").unwrap_or_default().to_owned();
        let checked = tag.has("checked").then(|| value.clone());
        match tag.get("type").unwrap_or("text") {
            "hidden" => self.keep(name, Kind::Hidden, Some(value), None),
            "checkbox" => self.keep(name, Kind::Ticked, checked, Some(value)),
            "radio" => self.keep(name, Kind::Chosen, checked, Some(value)),
            "submit" => self.keep(name, Kind::Chosen, Some(value.clone()), Some(value)),
            "password" | "file" => self.keep(name, Kind::Secret, Some(value), None),
            _ => self.keep(name, Kind::Typed, Some(value), None),
        }
    }

    fn keep(&mut self, name: &str, kind: Kind, value: Option<String>, offer: Option<String>) {
        if name.is_empty() {
            return;
        }
        let at = self.fields.iter().position(|field| field.name == name).unwrap_or_else(|| {
            self.fields.push(Field { name: name.to_owned(), kind, value: None, offers: Vec::new() });
            self.fields.len() - 1
        });
        let field = &mut self.fields[at];
        field.offers.extend(offer);
        if field.value.is_none() {
            field.value = value;
        }
    }

    /// The field of a name.
    pub fn field(&self, name: &str) -> Option<&Field> {
        self.fields.iter().find(|field| field.name == name)
    }

    /// What tells one kind of form from another: its names, and the short words that it carries.
    pub fn shape(&self) -> String {
        let is_word = |text: &str| {
            !text.is_empty() && text.len() < 13 && text.bytes().all(|b| b.is_ascii_lowercase() || b == b'_')
        };
        let of = |field: &Field| match (&field.value, field.kind) {
            (Some(value), Kind::Hidden) if is_word(value) => format!("{}={value}", field.name),
            _ => field.name.clone(),
        };
        self.fields.iter().map(of).collect::<Vec<_>>().join(" ")
    }
}
