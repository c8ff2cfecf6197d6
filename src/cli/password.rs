//! Takes a new password from a person or a script, never from the command line: other people can read that.
//! Must not print, keep or judge it.

use std::io::{IsTerminal, Read, stdin};
use std::path::Path;

use anyhow::{Context, Result, bail};
use zeroize::Zeroizing;

use crate::settings::closed_text;

/// From the file, when one is named; else typed twice without echo; else, when no terminal is there, from standard
/// input. One line end is cut off, nothing else.
///
/// # Errors
/// The file is open to other people, the two do not agree, or there is more than one line.
pub(super) fn chosen(file: Option<&Path>) -> Result<Zeroizing<String>> {
    match file {
        Some(path) => one_line(closed_text(path)?),
        None if stdin().is_terminal() => typed(),
        None => {
            let mut text = Zeroizing::new(String::new());
            stdin().read_to_string(&mut text).context("no password could be read from standard input")?;
            one_line(text)
        }
    }
}

fn typed() -> Result<Zeroizing<String>> {
    let ask = |words: &str| rpassword::prompt_password(words).map(Zeroizing::new).context("no password was typed");
    let first = ask("Password, 12 characters or more (not shown): ")?;
    if *first != *ask("The same once more: ")? {
        bail!("the two passwords are not the same; nothing was changed");
    }
    Ok(first)
}

fn one_line(text: Zeroizing<String>) -> Result<Zeroizing<String>> {
    let line = text.strip_suffix('\n').map_or(text.as_str(), |rest| rest.strip_suffix('\r').unwrap_or(rest));
    if line.contains('\n') {
        bail!("the password must be one line");
    }
    Ok(Zeroizing::new(line.to_owned()))
}
