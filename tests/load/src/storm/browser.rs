//! A browser without scripts that has an address of its own: keeps cookies, sends forms, and can be cut off in the middle.
//!
//! One connection a request, so that a cut or a kill never takes another request along.

use std::collections::BTreeMap;
use std::io::{Error, ErrorKind, Read, Result, Write};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpStream};
use std::time::Duration;

use socket2::{Domain, Socket, Type};

/// After so long an answer counts as none.
const PATIENCE: Duration = Duration::from_secs(30);

/// What came back, whole.
#[derive(Clone, Debug)]
pub struct Answered {
    /// The status.
    pub status: u16,
    /// Where a 303 leads; empty when it leads nowhere.
    pub location: String,
    /// The page.
    pub body: String,
    cookies: Vec<(String, String)>,
}

/// One browser.
#[derive(Clone, Debug)]
pub struct Browser {
    from: Ipv4Addr,
    to: SocketAddr,
    cookies: BTreeMap<String, String>,
}

impl Browser {
    /// A new one at the address `from`, without cookies, that asks the service at `to`.
    pub fn new(from: Ipv4Addr, to: SocketAddr) -> Self {
        Self { from, to, cookies: BTreeMap::new() }
    }

    /// Another browser of the same household: the same address, no cookies.
    pub fn elsewhere(&self) -> Self {
        Self::new(self.from, self.to)
    }

    /// The same with a cookie that it has from before.
    pub fn with_cookie(mut self, name: &str, value: &str) -> Self {
        self.cookies.insert(name.to_owned(), value.to_owned());
        self
    }

    /// Opens a page.
    ///
    /// # Errors
    /// No whole answer came.
    pub fn get(&mut self, path: &str) -> Result<Answered> {
        let head = self.head("GET", path);
        let answered = read(self.send(&head, "")?)?;
        Ok(self.keep(answered))
    }

    /// Sends a form and keeps the cookies of the answer.
    ///
    /// # Errors
    /// No whole answer came: it may have been done or not.
    pub fn post(&mut self, path: &str, body: &str) -> Result<Answered> {
        let answered = self.press(path, body)?;
        Ok(self.keep(answered))
    }

    /// Sends a form and leaves the cookies as they are: several presses at once share one browser.
    ///
    /// # Errors
    /// No whole answer came: it may have been done or not.
    pub fn press(&self, path: &str, body: &str) -> Result<Answered> {
        read(self.send(&self.head("POST", path), body)?)
    }

    /// Sends a form and cuts the connection after a while, whatever comes back.
    ///
    /// # Errors
    /// The form could not be sent.
    pub fn cut(&self, path: &str, body: &str, after: Duration) -> Result<()> {
        let stream = self.send(&self.head("POST", path), body)?;
        pause(after);
        stream.shutdown(Shutdown::Both)
    }

    /// Takes the cookies of an answer.
    pub fn keep(&mut self, answered: Answered) -> Answered {
        for (name, value) in &answered.cookies {
            self.cookies.insert(name.clone(), value.clone());
        }
        answered
    }

    fn head(&self, verb: &str, path: &str) -> String {
        let cookies: Vec<String> = self.cookies.iter().map(|(name, value)| format!("{name}={value}")).collect();
        let cookies = cookies.join("; ");
        let to = self.to;
        format!(
            "{verb} {path} HTTP/1.1\r\nHost: {to}\r\nConnection: close\r\nAccept-Language: en\r\nCookie: {cookies}\r\n"
        )
    }

    fn send(&self, head: &str, body: &str) -> Result<TcpStream> {
        let socket = Socket::new(Domain::IPV4, Type::STREAM, None)?;
        socket.bind(&SocketAddr::from((self.from, 0)).into())?;
        socket.connect_timeout(&self.to.into(), PATIENCE)?;
        let mut stream = TcpStream::from(socket);
        stream.set_read_timeout(Some(PATIENCE))?;
        let form = "Content-Type: application/x-www-form-urlencoded\r\nSec-Fetch-Site: same-origin\r\n";
        let kind = if body.is_empty() { "" } else { form };
        stream.write_all(format!("{head}{kind}Content-Length: {}\r\n\r\n{body}", body.len()).as_bytes())?;
        Ok(stream)
    }
}

/// Waits.
#[expect(clippy::disallowed_methods, reason = "a client waits as people do; the service's own clock runs on")]
pub fn pause(time: Duration) {
    std::thread::sleep(time);
}

fn read(mut stream: TcpStream) -> Result<Answered> {
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes)?;
    let whole = String::from_utf8_lossy(&bytes);
    parsed(&whole).ok_or_else(|| Error::new(ErrorKind::UnexpectedEof, "the answer is not whole"))
}

/// The answer, if it came to its end.
fn parsed(whole: &str) -> Option<Answered> {
    let (head, body) = whole.split_once("\r\n\r\n")?;
    let mut lines = head.lines();
    let status = lines.next()?.strip_prefix("HTTP/1.1 ")?.get(..3)?.parse().ok()?;
    let (mut location, mut cookies, mut length) = (String::new(), Vec::new(), None);
    for (name, value) in lines.filter_map(|line| line.split_once(": ")) {
        match name.to_ascii_lowercase().as_str() {
            "location" => value.clone_into(&mut location),
            "content-length" => length = value.parse::<usize>().ok(),
            "set-cookie" => cookies.extend(cookie(value)),
            _ => {}
        }
    }
    (body.len() >= length?).then(|| Answered { status, location, body: body.to_owned(), cookies })
}

fn cookie(value: &str) -> Option<(String, String)> {
    let (name, value) = value.split(';').next()?.split_once('=')?;
    Some((name.to_owned(), value.to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn r24_half_an_answer_is_none() {
        let whole = "HTTP/1.1 303 See Other\r\nlocation: /registrations/x\r\ncontent-length: 3\r\nset-cookie: a=b; Path=/\r\n\r\nabc";
        let answered = parsed(whole).expect("a whole answer");
        assert_eq!((answered.status, answered.location.as_str()), (303, "/registrations/x"));
        assert_eq!(answered.cookies, [("a".to_owned(), "b".to_owned())]);
        for cut in 0..whole.len() {
            assert!(parsed(&whole[..cut]).is_none(), "{cut} bytes were taken for an answer");
        }
    }
}
