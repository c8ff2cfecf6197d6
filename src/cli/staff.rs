//! `staff`: the people who run the program, from the console: added, let in for the first time, let back in. Works
//! beside a running server.

use std::path::PathBuf;

use anyhow::Result;
use chrono::NaiveDate;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, Subcommand};

use crate::domain::access::{Role, STAFF};
use crate::domain::certification::CertificationKind;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Email, Lang, PersonName, Phone, Word};
use crate::services::add_staff::{self, NewMember, Paper};
use crate::services::recover::recover;
use crate::services::{App, Failure};

use super::{Place, password, prepare};

/// What is done with staff.
#[derive(Debug, Subcommand)]
pub(super) enum Staff {
    /// Adds a staff member who signs in with an address and a password
    ///
    /// The password is typed twice at a prompt and not shown. A script names a file with mode 0600 or pipes the
    /// password in. It is never an argument, because other people on the machine can read arguments.
    #[command(after_help = "Example:\n  waymark staff add --data /var/lib/waymark --email ana@example.org \
        --given Ana --family Ruiz \\\n    --phone 406-555-0142 --role instructor --role first_aid \\\n    \
        --paper riding=2024-05-01..2027-05-01 --paper first_aid=2025-03-10..2027-03-10\n\n\
        A taken address changes nothing and ends with 1.")]
    Add(Member),
    /// Prints a link with which the first administrator makes their own account
    ///
    /// It works once, for 30 minutes, and only while there is no administrator. A newer link ends an older one.
    First(Place),
    /// Lets somebody back in who lost password, phone and recovery codes, when no two administrators can help
    ///
    /// The account is open afterwards, has the new password, asks for a second step to be set up, and every sign-in of
    /// it is over. The log tells that it was done here.
    Recover(Recovery),
}

/// The options of `staff recover`.
#[derive(Debug, Args)]
pub(super) struct Recovery {
    #[command(flatten)]
    place: Place,
    /// E-mail address with which they sign in
    #[arg(long, value_parser = email)]
    email: Email,
    /// File that holds the new password alone, closed to other people (mode 0600)
    #[arg(long, value_name = "FILE")]
    password_file: Option<PathBuf>,
}

/// Does what is wanted.
///
/// # Errors
/// It is not possible, and nothing was changed.
pub(super) fn run(wanted: Staff) -> Result<()> {
    match wanted {
        Staff::Add(member) => add(member),
        Staff::First(place) => {
            println!("{}", add_staff::first_link(&beside(&place)?).map_err(told)?);
            Ok(())
        }
        Staff::Recover(wanted) => {
            let app = beside(&wanted.place)?;
            recover(&app, &wanted.email, &password::chosen(wanted.password_file.as_deref())?)?;
            println!("{} signs in with the new password and sets up a second step", wanted.email.as_str());
            Ok(())
        }
    }
}

fn told(failure: Failure) -> anyhow::Error {
    match failure {
        Failure::Refused(Refusal::HasAdministrator) => {
            anyhow::anyhow!("there is an administrator already; add more people with `waymark staff add`")
        }
        other => other.into(),
    }
}

/// The program beside a server that may be running.
fn beside(place: &Place) -> Result<App> {
    let settings = prepare::settings(&place.clone().overrides(false))?;
    let store = prepare::beside(&settings)?;
    prepare::with_store(settings, store)
}

/// The options of `staff add`.
#[derive(Debug, Args)]
pub(super) struct Member {
    #[command(flatten)]
    place: Place,
    /// E-mail address, with which they sign in
    #[arg(long, value_parser = email)]
    email: Email,
    /// Given name, or the only one
    #[arg(long, value_name = "NAME")]
    given: String,
    /// Family name; leave it out for people with one name
    #[arg(long, value_name = "NAME", default_value = "", hide_default_value = true)]
    family: String,
    /// Telephone; ten digits are read as a United States number
    #[arg(long, value_parser = phone)]
    phone: Phone,
    /// What they do; may be given several times
    #[arg(long = "role", value_name = "ROLE", required = true, value_parser = roles())]
    roles: Vec<Role>,
    /// A paper and the days it counts, as riding=2024-05-01..2027-05-01; may be given several times.
    /// Kinds: riding, first_aid, background, child_protection
    #[arg(long = "paper", value_name = "KIND=FIRST..LAST", value_parser = paper)]
    papers: Vec<Paper>,
    /// They may teach only beside a lead
    #[arg(long)]
    provisional: bool,
    /// The language they read
    #[arg(long, value_name = "LANG", default_value = "en", value_parser = languages())]
    language: Lang,
    /// File that holds the password alone, closed to other people (mode 0600)
    #[arg(long, value_name = "FILE")]
    password_file: Option<PathBuf>,
}

fn email(text: &str) -> Result<Email, String> {
    Email::parse(text).map_err(|_| "not an e-mail address".into())
}

fn phone(text: &str) -> Result<Phone, String> {
    Phone::parse(text).map_err(|_| "not a telephone number; write it like 406-555-0142".into())
}

fn roles() -> impl TypedValueParser<Value = Role> {
    let words = STAFF.map(|role| role.as_str());
    PossibleValuesParser::new(words).map(|word| Role::from_word(&word).expect("only roles are possible"))
}

fn languages() -> impl TypedValueParser<Value = Lang> {
    let words = Lang::ALL.iter().map(|lang| lang.as_str());
    PossibleValuesParser::new(words).map(|word| Lang::from_word(&word).expect("only languages are possible"))
}

fn paper(text: &str) -> Result<Paper, String> {
    let odd = || "write it like riding=2024-05-01..2027-05-01".to_owned();
    let (kind, days) = text.split_once('=').ok_or_else(odd)?;
    let (first, last) = days.split_once("..").ok_or_else(odd)?;
    let kind = CertificationKind::from_word(kind)
        .ok_or_else(|| format!("`{kind}` is no kind of paper: riding, first_aid, background, child_protection"))?;
    let day = |text: &str| text.parse::<NaiveDate>().map_err(|_| format!("`{text}` is no day; {}", odd()));
    let (issued_on, valid_through) = (day(first)?, day(last)?);
    if valid_through < issued_on {
        return Err("the paper ends before it begins".into());
    }
    Ok(Paper { kind, issued_on, valid_through })
}

/// Adds the member.
fn add(member: Member) -> Result<()> {
    let name = PersonName::parse(&member.given, &member.family)
        .map_err(|_| anyhow::anyhow!("the name is empty, too long or holds characters that no name has"))?;
    let app = beside(&member.place)?;
    let chosen = password::chosen(member.password_file.as_deref())?;
    let new = NewMember {
        email: member.email,
        name,
        phone: member.phone,
        language: member.language,
        roles: member.roles,
        provisional: member.provisional,
        papers: member.papers,
    };
    let (name, email) = (new.name.to_string(), new.email.as_str().to_owned());
    add_staff::add(&app, new, &chosen)?;
    println!("{name} is added and signs in as {email}");
    Ok(())
}
