//! A browser as far as HTTP goes: cookies, forms with their token, and requests that no browser would make.

use std::cell::RefCell;
use std::collections::BTreeMap;

use ureq::Agent;
use ureq::http::Request;

/// What came back.
#[derive(Debug)]
pub struct Answered {
    pub status: u16,
    pub headers: Vec<(String, String)>,
    pub body: String,
}

impl Answered {
    /// The first header of that name, in lower case.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.headers.iter().find(|(found, _)| found == name).map(|(_, value)| value.as_str())
    }

    /// The form token in the page, if it has a form.
    pub fn form_token(&self) -> Option<&str> {
        let rest = self.body.split("name=\"form_token\" value=\"").nth(1)?;
        rest.split('"').next()
    }
}

/// One person's browser. Redirects are shown, not followed.
pub struct Browser {
    agent: Agent,
    url: String,
    cookies: RefCell<BTreeMap<String, String>>,
}

impl Browser {
    pub fn new(url: &str) -> Self {
        let config =
            Agent::config_builder().http_status_as_error(false).max_redirects(0).allow_non_standard_methods(true);
        Self { agent: config.build().into(), url: url.to_owned(), cookies: RefCell::default() }
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

    fn keep(&self, set_cookie: &str) {
        let pair = set_cookie.split(';').next().unwrap_or_default();
        let (name, value) = pair.split_once('=').expect("a cookie has a name");
        self.cookies.borrow_mut().insert(name.to_owned(), value.to_owned());
    }

    pub fn get(&self, path: &str) -> Answered {
        self.send("GET", path, &[], "")
    }

    /// Posts a form from the page at `from`, with the token that this page carries.
    pub fn post_from(&self, from: &str, path: &str, fields: &str) -> Answered {
        let page = self.get(from);
        let token = page.form_token().unwrap_or_else(|| panic!("{from} has no form: {}", page.status)).to_owned();
        self.send("POST", path, &[("sec-fetch-site", "same-origin")], &format!("form_token={token}&{fields}"))
    }

    /// Any request, with these headers and no others but the cookies and the type of a form.
    pub fn send(&self, verb: &str, path: &str, headers: &[(&str, &str)], body: &str) -> Answered {
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
        let request = request.body(body.to_owned()).expect("a request");
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
        let body = response.body_mut().read_to_vec().unwrap_or_default();
        Answered { status, headers, body: String::from_utf8_lossy(&body).into_owned() }
    }
}
