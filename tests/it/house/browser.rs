//! A person's browser without scripts: keeps cookies, follows forms, sends what a form would send.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::time::Duration;

use ureq::Agent;
use ureq::http::Request;

/// After so long an answer counts as none.
const PATIENCE: Duration = Duration::from_secs(60);

/// What came back.
#[derive(Clone, Debug)]
pub struct Answered {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: String,
    pub bytes: Vec<u8>,
}

impl Answered {
    /// The first header of that name, in lower case.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(found, _)| found == name).map(|(_, value)| value.as_str())
    }
    /// The form token in the page, if it has a form.
    pub fn form_token(&self) -> Option<String> {
        self.field("form_token")
    }
    /// Where a 303 leads.
    pub fn location(&self) -> &str {
        assert_eq!(self.status, 303, "no way on: {}", self.words());
        self.header("location").expect("a 303 says where")
    }
    /// The words that a reader sees, tags dropped, white space folded, entities read.
    pub fn words(&self) -> String {
        words_of(&self.body)
    }
    /// Whether the reader sees these words.
    pub fn says(&self, words: &str) -> bool {
        self.words().contains(words)
    }
    /// Fails with the page's words when they are not there.
    #[track_caller]
    pub fn must_say(&self, words: &str) -> &Self {
        assert!(self.says(words), "{words:?} is not on the page ({}): {}", self.status, self.words());
        self
    }
    /// Fails with the page's words when the status is another.
    #[track_caller]
    pub fn must_be(&self, status: u16) -> &Self {
        assert_eq!(self.status, status, "{}", self.words());
        self
    }
    /// The value of a field on the page.
    pub fn field(&self, name: &str) -> Option<String> {
        field_value(&self.body, name)
    }
}

/// The value attribute of the input of a name.
pub fn field_value(body: &str, name: &str) -> Option<String> {
    let tag = body.split('<').find(|tag| tag.starts_with("input") && tag.contains(&format!("name=\"{name}\"")))?;
    let value = tag.split("value=\"").nth(1).map_or("", |rest| rest.split('"').next().unwrap_or_default());
    Some(unescaped(value))
}

fn words_of(html: &str) -> String {
    let mut words = String::new();
    let mut inside = false;
    for c in html.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                words.push(' ');
            }
            c if !inside => words.push(c),
            _ => {}
        }
    }
    unescaped(&words).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A text of a page with its entities read.
pub fn unescaped(text: &str) -> String {
    let mut plain = text.to_owned();
    for (entity, c) in [
        ("&lt;", "<"),
        ("&gt;", ">"),
        ("&quot;", "\""),
        ("&#34;", "\""),
        ("&#39;", "'"),
        ("&#60;", "<"),
        ("&#62;", ">"),
        ("&#38;", "&"),
        ("&amp;", "&"),
    ] {
        plain = plain.replace(entity, c);
    }
    plain
}

/// One person's browser. Redirects are shown, not followed.
pub struct Browser {
    agent: Agent,
    url: String,
    cookies: RefCell<BTreeMap<String, String>>,
    token: RefCell<String>,
    language: Cell<&'static str>,
}

impl Browser {
    /// New, without cookies.
    pub fn new(url: &str) -> Self {
        let config = Agent::config_builder()
            .http_status_as_error(false)
            .max_redirects(0)
            .allow_non_standard_methods(true)
            .timeout_global(Some(PATIENCE));
        Self {
            agent: config.build().into(),
            url: url.to_owned(),
            cookies: RefCell::default(),
            token: RefCell::default(),
            language: Cell::new("en"),
        }
    }

    /// The same browser with one more cookie, written `name=value`.
    pub fn with_cookie(self, cookie: &str) -> Self {
        self.keep(cookie);
        self
    }

    /// Another browser with the same cookies: what a thief would have.
    pub fn copy(&self) -> Self {
        let thief = Self::new(&self.url);
        thief.cookies.replace(self.cookies.borrow().clone());
        thief
    }

    /// The same browser, asking for this language.
    pub fn speaking(self, language: &'static str) -> Self {
        self.language.set(language);
        self
    }

    fn keep(&self, set_cookie: &str) {
        let pair = set_cookie.split(';').next().unwrap_or_default();
        let (name, value) = pair.split_once('=').expect("a cookie has a name");
        let mut kept = self.cookies.borrow_mut();
        if value.is_empty() {
            kept.remove(name);
        } else {
            kept.insert(name.to_owned(), value.to_owned());
        }
    }

    /// A cookie's value.
    pub fn cookie(&self, name: &str) -> Option<String> {
        self.cookies.borrow().get(name).cloned()
    }

    /// Opens a page.
    pub fn get(&self, path: &str) -> Answered {
        self.send("GET", path, &[("accept", "text/html"), ("accept-language", self.language.get())], "")
    }

    /// Opens where a 303 leads.
    #[track_caller]
    pub fn follow(&self, answered: &Answered) -> Answered {
        self.get(answered.location())
    }

    /// Sends a form with the form token of the page seen last.
    pub fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answered {
        let token = self.token.borrow().clone();
        let mut all = vec![("form_token", token.as_str())];
        all.extend_from_slice(fields);
        self.post_whole(path, &all)
    }

    /// Sends a form that carries its own form token, as a page does that was opened a while ago.
    pub fn post_whole(&self, path: &str, all: &[(&str, &str)]) -> Answered {
        let language = self.language.get();
        let headers = [("sec-fetch-site", "same-origin"), ("accept", "text/html"), ("accept-language", language)];
        self.send("POST", path, &headers, &encoded(all))
    }

    /// Opens the form's page for its token and for what it was drawn from, then sends the form.
    pub fn submit(&self, page: &str, path: &str, fields: &[(&str, &str)]) -> Answered {
        let seen = self.get(page).field("seen");
        let mut all = fields.to_vec();
        all.extend(seen.iter().map(|seen| ("seen", seen.as_str())));
        self.post(path, &all)
    }

    /// Posts encoded fields from the page at `from`, with the token that this page carries.
    pub fn post_from(&self, from: &str, path: &str, fields: &str) -> Answered {
        let page = self.get(from);
        let token = page.form_token().unwrap_or_else(|| panic!("{from} has no form: {}", page.status));
        self.send("POST", path, &[("sec-fetch-site", "same-origin")], &format!("form_token={token}&{fields}"))
    }

    /// Any request, with these headers and no others but the cookies and the type of a form.
    pub fn send(&self, verb: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Answered {
        self.send_bytes(verb, path, headers, body.as_bytes())
    }

    /// The same with a body of any bytes.
    pub fn send_bytes(&self, verb: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Answered {
        let mut request = Request::builder().method(verb).uri(format!("{}{path}", self.url));
        let cookies: Vec<String> =
            self.cookies.borrow().iter().map(|(name, value)| format!("{name}={value}")).collect();
        if !cookies.is_empty() {
            request = request.header("cookie", cookies.join("; "));
        }
        if !body.is_empty() && !headers.iter().any(|(name, _)| *name == "content-type") {
            request = request.header("content-type", "application/x-www-form-urlencoded");
        }
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request.body(body.to_vec()).expect("a request");
        let mut response = self.agent.run(request).unwrap_or_else(|fault| panic!("{verb} {path}: {fault}"));
        let headers: Vec<(String, String)> = response
            .headers()
            .iter()
            .map(|(name, value)| (name.to_string(), String::from_utf8_lossy(value.as_bytes()).into_owned()))
            .collect();
        for (_, value) in headers.iter().filter(|(name, _)| name == "set-cookie") {
            self.keep(value);
        }
        let status = response.status().as_u16();
        let bytes = response.body_mut().with_config().limit(64 * 1024 * 1024).read_to_vec().unwrap_or_default();
        let answered = Answered { status, headers, body: String::from_utf8_lossy(&bytes).into_owned(), bytes };
        if let Some(token) = answered.form_token() {
            *self.token.borrow_mut() = token;
        }
        answered
    }
}

/// Fields as a form sends them.
pub fn encoded(fields: &[(&str, &str)]) -> String {
    fields.iter().map(|(name, value)| format!("{}={}", escaped(name), escaped(value))).collect::<Vec<_>>().join("&")
}

/// A text as a form's body or a query writes it.
pub fn escaped(text: &str) -> String {
    text.bytes()
        .map(|byte| match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' | b'.' => (byte as char).to_string(),
            b' ' => "+".to_owned(),
            other => format!("%{other:02X}"),
        })
        .collect()
}

/// A form with a file as a browser sends it.
pub fn multipart(parts: &[(&str, Option<&str>, &[u8])]) -> Vec<u8> {
    let mut body = Vec::new();
    for (name, file, bytes) in parts {
        let file = file.map(|file| format!("; filename=\"{file}\"\r\nContent-Type: text/csv")).unwrap_or_default();
        body.extend(format!("--edge\r\nContent-Disposition: form-data; name=\"{name}\"{file}\r\n\r\n").bytes());
        body.extend_from_slice(bytes);
        body.extend(b"\r\n");
    }
    body.extend(b"--edge--\r\n");
    body
}

impl Browser {
    /// Sends such a form.
    pub fn send_parts(&self, path: &str, body: &[u8]) -> Answered {
        let headers = [("sec-fetch-site", "same-origin"), ("content-type", "multipart/form-data; boundary=edge")];
        self.send_bytes("POST", path, &headers, body)
    }

    /// Chooses a file on a page and presses its button.
    pub fn bring(&self, page: &str, name: &str, bytes: &[u8]) -> Answered {
        let token = self.get(page).form_token().expect("a form");
        self.send_parts(page, &multipart(&[("form_token", None, token.as_bytes()), ("file", Some(name), bytes)]))
    }
}
