//! The folder, and a relay on this machine that answers as each test says.

use std::os::unix::fs::PermissionsExt;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use tokio::io::{AsyncBufReadExt, AsyncWriteExt, BufReader};
use tokio::net::{TcpListener, TcpStream};

use super::*;
use crate::outside::mail::tests::letter;

const LONG: Duration = Duration::from_secs(60);
const SHORT: Duration = Duration::from_millis(50);

type Answers = &'static [(&'static str, &'static str)];
const READY: (&str, &str) = ("HELLO", "220 ready");
const GO: (&str, &str) = ("DATA", "354 go on");

fn scratch(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("waymark-post-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    folder
}

fn relay(port: u16) -> Relay {
    Relay::new("127.0.0.1", port, Protection::Bare, None).unwrap().with_limits(LONG, LONG)
}

/// A relay that answers each command by its first word, or with 250; an empty answer is silence, and `CUT` ends the
/// connection. Counts connections.
async fn answering(answers: Answers) -> (u16, Arc<AtomicUsize>) {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    let connections = Arc::new(AtomicUsize::new(0));
    let counted = connections.clone();
    tokio::spawn(async move {
        while let Ok((stream, _)) = listener.accept().await {
            counted.fetch_add(1, Ordering::Relaxed);
            tokio::spawn(answer_one(stream, answers));
        }
    });
    (port, connections)
}

async fn answer_one(stream: TcpStream, answers: Answers) -> std::io::Result<()> {
    let (read, mut write) = stream.into_split();
    let mut lines = BufReader::new(read).lines();
    let (mut word, mut in_letter) = ("HELLO".to_owned(), false);
    loop {
        let known = answers.iter().find(|(first, _)| *first == word);
        let said = known.map_or("250 fine", |(_, answer)| *answer);
        if said == "CUT" {
            return Ok(());
        }
        in_letter = word == "DATA" && said.starts_with("354") || in_letter && word != "END";
        if !said.is_empty() && (!in_letter || word == "DATA") {
            write.write_all(format!("{said}\r\n").as_bytes()).await?;
        }
        let Some(line) = lines.next_line().await? else {
            return Ok(());
        };
        word = if in_letter && line == "." { "END" } else { line.split([' ', ':']).next().unwrap_or("") }.to_owned();
    }
}

#[tokio::test]
async fn a_letter_becomes_one_file_that_only_its_owner_reads() {
    let folder = scratch("one");
    let post = Post::Folder(folder.clone());
    post.send(&letter()).await.unwrap();
    post.send(&letter()).await.unwrap();
    let files: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|file| file.unwrap()).collect();
    assert_eq!(files.len(), 1, "the second sending replaces the first");
    assert_eq!(files[0].metadata().unwrap().permissions().mode() & 0o777, 0o600);
    assert_eq!(std::fs::read(files[0].path()).unwrap(), letter().to_bytes().unwrap());
    assert!(files[0].file_name().to_string_lossy().starts_with("20260501T120000Z-"));
    std::fs::remove_dir_all(&folder).unwrap();
}

#[tokio::test]
async fn r10_answers_are_sorted_into_down_later_and_never() {
    let table: [(Answers, Result<(), PostError>); 8] = [
        (&[READY, GO], Ok(())),
        (&[READY, ("RCPT", "450 mailbox busy")], Err(PostError::Later(Class::Answer(450)))),
        (&[READY, ("RCPT", "550 no such person")], Err(PostError::Never(Class::Answer(550)))),
        (&[READY, GO, ("END", "452 no room")], Err(PostError::Later(Class::Answer(452)))),
        (&[READY, GO, ("END", "554 refused")], Err(PostError::Never(Class::Answer(554)))),
        (&[READY, ("MAIL", "421 closing")], Err(PostError::Down(Class::Answer(421)))),
        (&[("HELLO", "421 closing")], Err(PostError::Down(Class::Answer(421)))),
        (&[("HELLO", "554 not here")], Err(PostError::Down(Class::Answer(554)))),
    ];
    for (answers, expected) in table {
        let post = Post::Relay(relay(answering(answers).await.0));
        assert_eq!(post.send(&letter()).await, expected, "{answers:?}");
    }
}

#[tokio::test]
async fn r10_a_silent_relay_is_left_after_a_while_and_its_connection_is_not_used_again() {
    let (port, _) = answering(&[("HELLO", "")]).await;
    let silent = relay(port).with_limits(LONG, SHORT);
    assert_eq!(Post::Relay(silent).send(&letter()).await, Err(PostError::Down(Class::Silence)));
    let (port, connections) = answering(&[READY, GO, ("END", "")]).await;
    let silent = Post::Relay(relay(port).with_limits(SHORT, LONG));
    for _ in 0..2 {
        assert_eq!(silent.send(&letter()).await, Err(PostError::Unanswered(Class::Silence)));
    }
    assert_eq!(connections.load(Ordering::Relaxed), 2);
}

#[tokio::test]
async fn r09_a_letter_is_in_doubt_only_when_the_relay_had_all_of_it() {
    assert_eq!(relay::LETTER.as_secs(), 600, "RFC 5321 4.5.3.2.6 gives ten minutes for the last answer");
    let table: [(Answers, PostError); 5] = [
        (&[("HELLO", "CUT")], PostError::Down(Class::Connection)),
        (&[READY, ("MAIL", "CUT")], PostError::Down(Class::Connection)),
        (&[READY, ("RCPT", "CUT")], PostError::Down(Class::Connection)),
        (&[READY, ("DATA", "CUT")], PostError::Down(Class::Connection)),
        (&[READY, GO, ("END", "CUT")], PostError::Unanswered(Class::Connection)),
    ];
    for (answers, expected) in table {
        let post = Post::Relay(relay(answering(answers).await.0));
        assert_eq!(post.send(&letter()).await, Err(expected), "{answers:?}");
    }
}

#[tokio::test]
async fn letters_share_a_connection_that_works() {
    let (port, connections) = answering(&[READY, GO]).await;
    let post = Post::Relay(relay(port));
    for _ in 0..5 {
        post.clone().send(&letter()).await.unwrap();
    }
    assert_eq!(connections.load(Ordering::Relaxed), 1);
}

#[tokio::test]
async fn r08_a_closed_port_is_a_relay_that_is_down() {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let port = listener.local_addr().unwrap().port();
    drop(listener);
    let sent = Post::Relay(relay(port)).send(&letter()).await;
    assert_eq!(sent, Err(PostError::Down(Class::Connection)));
}

#[tokio::test]
async fn s57_a_relay_that_strips_starttls_gets_no_letter() {
    let (port, _) = answering(&[READY, GO]).await;
    let tls = Protection::with_tls("127.0.0.1", port, None).unwrap();
    let post = Post::Relay(Relay::new("127.0.0.1", port, tls, None).unwrap());
    assert_eq!(post.send(&letter()).await, Err(PostError::Down(Class::Tls)));
}

#[test]
fn s57_no_protection_is_for_this_machine_alone() {
    for (host, allowed) in [("mail.example.org", false), ("10.0.0.8", false), ("localhost", true), ("[::1]", true)] {
        assert_eq!(Relay::new(host, 25, Protection::Bare, None).is_ok(), allowed, "{host}");
    }
    let tls = Protection::with_tls("mail.example.org", 465, None);
    assert!(matches!(tls, Ok(Protection::Tls(_))));
}

#[tokio::test]
async fn a_malformed_letter_is_never_tried_again() {
    let mut bad = letter();
    bad.to.address = "nobody".into();
    assert_eq!(Post::Folder(scratch("bad")).send(&bad).await, Err(PostError::Never(Class::Letter)));
    assert_eq!(Post::Relay(relay(9)).send(&bad).await, Err(PostError::Never(Class::Letter)));
}
