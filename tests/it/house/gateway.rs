//! A gateway of text messages on this machine: a real server of HTTP, as well or as badly behaved as a story wants.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;

use super::relay::free_port;

/// How the gateway behaves.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Manner {
    /// Answers each request with this status.
    Answers(u16),
    /// Sends whoever asks to another place of itself.
    Elsewhere,
    /// Reads the whole request and cuts the connection.
    Drops,
    /// Reads the whole request and never answers.
    Silent,
    /// Reads the whole request and answers one letter of a head after another, without an end.
    Drips,
    /// Reads the whole request and answers what is no HTTP.
    Babbles,
    /// Answers well, with a body that has no end.
    Floods,
}

/// A request as it came.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Got {
    /// The first line.
    pub line: String,
    /// The other lines of the head, names in small letters.
    pub head: Vec<String>,
    pub body: String,
}

impl Got {
    /// The value of a line of the head.
    pub fn header(&self, name: &str) -> Option<&str> {
        self.head.iter().find_map(|line| line.strip_prefix(name)?.strip_prefix(": "))
    }

    /// The number and the words of a body of JSON.
    pub fn said(&self) -> (String, String) {
        let body: serde_json::Value = serde_json::from_str(&self.body).expect("JSON");
        let text = |name: &str| body[name].as_str().expect("a text").to_owned();
        (text("to"), text("text"))
    }
}

/// The place of a gateway, whether it is open or not.
pub struct GatewayHouse {
    pub port: u16,
    manner: Arc<Mutex<Manner>>,
    got: Arc<Mutex<Vec<Got>>>,
    open: Option<Open>,
}

struct Open {
    ends: Arc<AtomicBool>,
    thread: JoinHandle<()>,
}

impl GatewayHouse {
    /// A free port where nothing listens yet.
    pub fn closed() -> Self {
        let manner = Arc::new(Mutex::new(Manner::Answers(202)));
        Self { port: free_port(), manner, got: Arc::default(), open: None }
    }

    /// Open, and taking every text.
    pub fn opened() -> Self {
        let mut house = Self::closed();
        house.open();
        house
    }

    pub fn open(&mut self) {
        let listener = TcpListener::bind(("127.0.0.1", self.port)).expect("the port is free");
        let ends = Arc::new(AtomicBool::new(false));
        let (over, manner, got) = (ends.clone(), self.manner.clone(), self.got.clone());
        let thread = std::thread::spawn(move || {
            for stream in listener.incoming().map_while(Result::ok) {
                if over.load(Ordering::SeqCst) {
                    return;
                }
                let (over, manner, got) = (over.clone(), *manner.lock().expect("a manner"), got.clone());
                std::thread::spawn(move || drop(answer(stream, manner, &got, &over)));
            }
        });
        self.open = Some(Open { ends, thread });
    }

    pub fn close(&mut self) {
        if let Some(open) = self.open.take() {
            open.ends.store(true, Ordering::SeqCst);
            // One more visitor, so that it looks up.
            drop(TcpStream::connect(("127.0.0.1", self.port)));
            open.thread.join().expect("the gateway ends in order");
        }
    }

    pub fn behave(&self, manner: Manner) {
        *self.manner.lock().expect("a manner") = manner;
    }

    /// Every request so far.
    pub fn got(&self) -> Vec<Got> {
        self.got.lock().expect("requests").clone()
    }

    /// The words of every text so far.
    pub fn texts(&self) -> Vec<String> {
        self.got().iter().map(|one| one.said().1).collect()
    }
}

impl Drop for GatewayHouse {
    fn drop(&mut self) {
        self.close();
    }
}

/// Reads one request and does with it as the manner says.
fn answer(mut stream: TcpStream, manner: Manner, got: &Mutex<Vec<Got>>, over: &AtomicBool) -> std::io::Result<()> {
    let mut reader = BufReader::new(stream.try_clone()?);
    let mut line = String::new();
    if reader.read_line(&mut line)? == 0 {
        // Somebody knocked and went away.
        return Ok(());
    }
    let (mut head, mut length) = (Vec::new(), 0);
    loop {
        let mut next = String::new();
        reader.read_line(&mut next)?;
        let Some((name, value)) = next.trim_end().split_once(": ") else { break };
        let name = name.to_lowercase();
        if name == "content-length" {
            length = value.parse().expect("a length");
        }
        head.push(format!("{name}: {value}"));
    }
    let mut body = vec![0; length];
    reader.read_exact(&mut body)?;
    let body = String::from_utf8(body).expect("words");
    got.lock().expect("requests").push(Got { line: line.trim_end().to_owned(), head, body });
    match manner {
        Manner::Answers(status) => write!(stream, "HTTP/1.1 {status} So\r\ncontent-length: 2\r\n\r\nok"),
        Manner::Elsewhere => write!(stream, "HTTP/1.1 307 So\r\nlocation: /elsewhere\r\ncontent-length: 0\r\n\r\n"),
        Manner::Drops => Ok(()),
        Manner::Babbles => write!(stream, "220 gateway.example at your service\r\n"),
        // Until whoever asked goes away.
        Manner::Silent => reader.read(&mut [0]).map(drop),
        Manner::Drips => {
            write!(stream, "HTTP/1.1 200 So\r\nx-wait: ")?;
            stream.set_read_timeout(Some(Duration::from_millis(50)))?;
            while reader.read(&mut [0]).is_err() {
                stream.write_all(b"a")?;
            }
            Ok(())
        }
        Manner::Floods => {
            write!(stream, "HTTP/1.1 200 So\r\ncontent-type: text/plain\r\n\r\n")?;
            while !over.load(Ordering::SeqCst) {
                stream.write_all(&[b'a'; 64 * 1024])?;
            }
            Ok(())
        }
    }
}
