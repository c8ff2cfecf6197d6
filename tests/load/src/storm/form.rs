//! A form of a page as a browser without scripts reads and sends it.

/// The fields of one form, with what stands in them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Form {
    fields: Vec<(String, String)>,
    boxes: Vec<String>,
    offers: Vec<(String, String)>,
}

impl Form {
    /// The form of a page that goes to `action`.
    pub fn of(page: &str, action: &str) -> Option<Self> {
        let from = page.find(&format!("action=\"{action}\""))?;
        let part = &page[from..];
        let part = &part[..part.find("</form>")?];
        let mut form = Self::default();
        let mut select = None;
        for tag in part.split('<').skip(1) {
            let tag = tag.split_once('>').map_or(tag, |(tag, _)| tag);
            let name = attribute(tag, "name");
            let value = attribute(tag, "value").unwrap_or_default();
            if let (true, Some(name)) = (tag.starts_with("input"), &name) {
                form.keep_input(tag, name, value);
            } else if tag.starts_with("select") {
                select = name;
            } else if let (true, Some(name)) = (tag.starts_with("option"), &select) {
                if is_marked(tag, "selected") {
                    form.set(name, value.clone());
                }
                form.offers.push((name.clone(), value));
            } else if let (true, Some(name)) = (tag.starts_with("textarea"), &name) {
                form.set(name, String::new());
            }
        }
        Some(form)
    }

    fn keep_input(&mut self, tag: &str, name: &str, value: String) {
        let kind = attribute(tag, "type").unwrap_or_default();
        let is_choice = kind == "radio" || kind == "checkbox";
        if kind == "checkbox" {
            self.boxes.push(name.to_owned());
        } else if kind == "radio" {
            self.offers.push((name.to_owned(), value.clone()));
        }
        if !is_choice || is_marked(tag, "checked") {
            self.set(name, value);
        }
    }

    /// Types an answer.
    pub fn set(&mut self, name: &str, value: impl Into<String>) {
        let value = value.into();
        match self.fields.iter_mut().find(|(known, _)| known == name) {
            Some(field) => field.1 = value,
            None => self.fields.push((name.to_owned(), value)),
        }
    }

    /// Types several answers.
    pub fn with(mut self, answers: &[(&str, &str)]) -> Self {
        answers.iter().for_each(|(name, value)| self.set(name, *value));
        self
    }

    /// Ticks every box whose name begins so.
    pub fn tick(&mut self, stem: &str) {
        let boxes: Vec<String> = self.boxes.iter().filter(|name| name.starts_with(stem)).cloned().collect();
        boxes.iter().for_each(|name| self.set(name, "yes"));
    }

    /// What stands in a field.
    pub fn get(&self, name: &str) -> Option<&str> {
        self.fields.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str())
    }

    /// What a list or a row of choices offers, its empty line left out.
    pub fn offers(&self, list: &str) -> Vec<String> {
        let offered = self.offers.iter().filter(|(name, value)| name == list && !value.is_empty());
        offered.map(|(_, value)| value.clone()).collect()
    }

    /// The body of the request.
    pub fn body(&self) -> String {
        let pair = |(name, value): &(String, String)| format!("{}={}", escaped(name), escaped(value));
        self.fields.iter().map(pair).collect::<Vec<_>>().join("&")
    }
}

fn is_marked(tag: &str, word: &str) -> bool {
    tag.split_whitespace().any(|part| part == word)
}

/// An attribute of a tag, with its entities read.
fn attribute(tag: &str, name: &str) -> Option<String> {
    let from = tag.find(&format!(" {name}=\""))? + name.len() + 3;
    let value = &tag[from..];
    let value = &value[..value.find('"')?];
    let plain = [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#34;", "\""),
        ("&#39;", "'"),
        ("&#38;", "&"),
        ("&amp;", "&"),
    ];
    Some(plain.iter().fold(value.to_owned(), |text, (entity, c)| text.replace(entity, c)))
}

/// A text as a form's body writes it.
fn escaped(text: &str) -> String {
    let letter = |byte: u8| match byte {
        b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' | b'.' => char::from(byte).to_string(),
        b' ' => "+".to_owned(),
        other => format!("%{other:02X}"),
    };
    text.bytes().map(letter).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PAGE: &str = r#"<form action="/other"><input name="x" value="1"></form><form method="post" action="/here">
        <input type="hidden" name="key" value="a&#38;b"><input type="checkbox" name="ride-1" value="yes">
        <input type="radio" name="any" value="no"><input type="radio" name="any" value="yes" checked>
        <select name="county"><option value="">-</option><option value="30049" selected>X</option></select>
        <textarea name="more"></textarea><button name="go" value="1">Go</button></form><input name="y" value="2">"#;

    #[test]
    fn house_1_a_form_is_sent_as_it_stands_with_what_was_typed() {
        let mut form = Form::of(PAGE, "/here").expect("the form");
        assert_eq!(form.body(), "key=a%26b&any=yes&county=30049&more=");
        form.tick("ride");
        assert_eq!(form.offers("county"), ["30049"]);
        assert_eq!(form.offers("any"), ["no", "yes"]);
        let form = form.with(&[("any", "no"), ("signature", "Ana R")]);
        assert_eq!(form.body(), "key=a%26b&any=no&county=30049&more=&ride-1=yes&signature=Ana+R");
        assert_eq!(Form::of(PAGE, "/nowhere"), None);
    }
}
