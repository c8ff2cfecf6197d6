//! The coordinator of a demonstration, as far as HTTP goes.

use std::io::{Read, Write};
use std::net::{SocketAddr, TcpStream};
use std::time::Duration;

use anyhow::{Context, bail, ensure};

/// Long enough for the slowest answer that is still worth a figure.
const PATIENCE: Duration = Duration::from_secs(300);

/// Somebody signed in, with the form token of the page seen last.
pub struct Office {
    address: SocketAddr,
    cookie: String,
}

impl Office {
    /// Enters by the demonstration's button as a coordinator.
    pub fn enter(address: SocketAddr) -> anyhow::Result<Self> {
        Self::enter_as(address, "coordinator")
    }

    /// Enters by the demonstration's button of a role.
    pub fn enter_as(address: SocketAddr, role: &str) -> anyhow::Result<Self> {
        let first = ask(address, "GET /sign-in HTTP/1.1", b"")?;
        let token = field(&first, "form_token").context("the sign-in page has no form")?;
        let body = format!("form_token={token}&role={role}&next=/");
        let head = format!("POST /sign-in/demo HTTP/1.1\r\n{FORM}\r\n{OURS}\r\nCookie: {}", cookies(&first));
        let entered = ask(address, &head, body.as_bytes())?;
        match entered.starts_with("HTTP/1.1 303") {
            true => Ok(Self { address, cookie: cookies(&entered) }),
            false => bail!("not let in: {}", entered.lines().next().unwrap_or_default()),
        }
    }

    /// A page, headers and all.
    pub fn get(&self, path: &str) -> anyhow::Result<String> {
        let answer = ask(self.address, &format!("GET {path} HTTP/1.1\r\nCookie: {}", self.cookie), b"")?;
        ensure!(answer.starts_with("HTTP/1.1 200"), "{path}: {}", answer.lines().next().unwrap_or_default());
        Ok(answer)
    }

    /// Sends a form; gives the page that it answers with.
    pub fn ask_form(&self, path: &str, fields: &str) -> anyhow::Result<String> {
        let head = format!("POST {path} HTTP/1.1\r\n{FORM}\r\n{OURS}\r\nCookie: {}", self.cookie);
        ask(self.address, &head, fields.as_bytes())
    }

    /// Sends a form; gives where it led.
    pub fn post(&self, path: &str, fields: &str) -> anyhow::Result<String> {
        self.send(path, FORM, fields.as_bytes())
    }

    /// Sends a body of any kind; gives where it led.
    pub fn send(&self, path: &str, kind: &str, body: &[u8]) -> anyhow::Result<String> {
        let head = format!("POST {path} HTTP/1.1\r\n{kind}\r\n{OURS}\r\nCookie: {}", self.cookie);
        let answer = ask(self.address, &head, body)?;
        ensure!(answer.starts_with("HTTP/1.1 303"), "{path}: {}", answer.lines().next().unwrap_or_default());
        let way = answer.lines().find_map(|line| line.strip_prefix("location: "));
        Ok(way.context("a 303 without a way")?.to_owned())
    }
}

const FORM: &str = "Content-Type: application/x-www-form-urlencoded";
const OURS: &str = "Sec-Fetch-Site: same-origin";

/// The value of a hidden field of a page.
pub fn field(page: &str, name: &str) -> Option<String> {
    let rest = page.split(&format!("name=\"{name}\" value=\"")).nth(1)?;
    rest.split('"').next().map(str::to_owned)
}

fn cookies(answer: &str) -> String {
    let set = answer.lines().filter_map(|line| line.strip_prefix("set-cookie: ")?.split(';').next());
    set.collect::<Vec<_>>().join("; ")
}

fn ask(address: SocketAddr, head: &str, body: &[u8]) -> anyhow::Result<String> {
    let mut stream = TcpStream::connect(address)?;
    stream.set_read_timeout(Some(PATIENCE))?;
    let length = body.len();
    write!(stream, "{head}\r\nHost: {address}\r\nContent-Length: {length}\r\nConnection: close\r\n\r\n")?;
    stream.write_all(body)?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer)?;
    Ok(String::from_utf8_lossy(&answer).into_owned())
}
