//! The words of a certificate's paper, and its sealed file. The same certificate and session give the same bytes.

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::county::{State, parse_states};
use crate::domain::words::{Lang, Word};
use crate::language::{self, Value};
use crate::outside::pdf::{CannotSet, Sheet, certificate};
use crate::services::{App, Failure};
use crate::store::certificates::{CertificateRow, NewCertificate};
use crate::store::files::{FileRow, NewFile};
use crate::store::programs::find_program;
use crate::store::sessions::SessionView;
use crate::store::{AnyConn, StoreError};

const STATES: &str = include_str!("../../../seed/counties/states.csv");
/// Media type of the paper.
pub(in crate::services) const MEDIA: &str = "application/pdf";

/// What all certificates of one session share.
#[derive(Clone, Debug)]
pub(in crate::services) struct About {
    program: String,
    titles: [(Lang, String); 2],
    site: String,
    city: String,
    state: String,
    public_url: String,
    public_host: String,
}

impl About {
    /// Collects it.
    pub(in crate::services) fn of(app: &App, conn: &mut AnyConn, view: &SessionView) -> Result<Self, StoreError> {
        let program = find_program(conn)?.ok_or(StoreError::Missing)?;
        let states = parse_states(STATES).expect("the shipped states are sound");
        let of_site = |state: &&State| view.site.county.starts_with(state.fips.as_str());
        Ok(Self {
            program: program.name,
            titles: [Lang::En, Lang::Es].map(|lang| (lang, view.course.title(lang).to_owned())),
            site: view.site.name.clone(),
            city: view.site.city.clone(),
            state: states.iter().find(of_site).map(|state| state.name.clone()).unwrap_or_default(),
            public_url: app.settings.server.public_url.clone(),
            public_host: app.settings.server.public_host().to_owned(),
        })
    }

    fn course(&self, lang: Lang) -> &str {
        self.titles.iter().find(|(of, _)| *of == lang).map_or("", |(_, title)| title)
    }
}

/// What stands on one paper alone.
#[derive(Clone, Copy, Debug)]
pub(in crate::services) struct Words<'a> {
    code: &'a str,
    rider_name: &'a str,
    lead_name: &'a str,
    completed_on: NaiveDate,
    valid_from: NaiveDate,
    lang: Lang,
    made_at: NaiveDateTime,
}

impl<'a> From<&'a CertificateRow> for Words<'a> {
    fn from(row: &'a CertificateRow) -> Self {
        Self {
            code: &row.code,
            rider_name: &row.rider_name,
            lead_name: &row.lead_name,
            completed_on: row.completed_on,
            valid_from: row.valid_from,
            lang: row.language,
            made_at: row.issued_at,
        }
    }
}

impl<'a> From<&'a NewCertificate> for Words<'a> {
    fn from(new: &'a NewCertificate) -> Self {
        Self {
            code: &new.code,
            rider_name: &new.rider_name,
            lead_name: &new.lead_name,
            completed_on: new.completed_on,
            valid_from: new.valid_from,
            lang: new.language,
            made_at: new.issued_at,
        }
    }
}

/// Sets one paper.
pub(in crate::services) fn set(about: &About, words: &Words<'_>) -> Result<Vec<u8>, CannotSet> {
    let say = |key: &str, values: &[(&str, &str)]| {
        let values: Vec<(&str, Value<'_>)> = values.iter().map(|(name, text)| (*name, Value::from(*text))).collect();
        language::say(words.lang, key, &values)
    };
    let (on, from) =
        (language::date_short(words.lang, words.completed_on), language::date_short(words.lang, words.valid_from));
    let statement = [
        say("certificate-paper-what", &[("course", about.course(words.lang))]),
        say("certificate-paper-where", &[("site", &about.site), ("city", &about.city), ("state", &about.state)]),
        say("certificate-paper-when", &[("day", &on)]),
    ];
    let code = crate::domain::certificate::CertificateCode::parse(words.code).expect("codes are stored as drawn");
    let role = say("certificate-paper-lead", &[]);
    let signers: &[(&str, &str)] = if words.lead_name.is_empty() { &[] } else { &[(words.lead_name, role.as_str())] };
    certificate(&Sheet {
        program_name: &about.program,
        heading: &say("certificate-paper-heading", &[]),
        lead_in: &say("certificate-paper-lead-in", &[]),
        rider_name: words.rider_name,
        statement: &statement.each_ref().map(String::as_str),
        signers,
        code_label: &say("certificate-paper-number", &[]),
        code: &code.grouped(),
        code_raw: words.code,
        valid_from_line: &say("certificate-paper-valid-from", &[("day", &from)]),
        check_url: &format!("{}/c/{code}", about.public_url),
        check_url_shown: &format!("{}/certificates", about.public_host),
        caution: &say("certificate-paper-caution", &[]),
        lang: words.lang.as_str(),
        made_at: words.made_at,
    })
}

/// Seals a paper as the file that is kept.
pub(in crate::services) fn seal(app: &App, bytes: &[u8], at: NaiveDateTime) -> NewFile {
    let row_key: [u8; 16] = app.random.bytes();
    NewFile {
        reference: app.random.reference(),
        kind: "certificate".to_owned(),
        media: MEDIA.to_owned(),
        body: app.cipher.seal("files", "body", &row_key, bytes),
        row_key: row_key.to_vec(),
        created_at: at,
    }
}

/// Opens a kept paper.
pub(in crate::services) fn open(app: &App, file: &FileRow) -> Result<Vec<u8>, Failure> {
    let row_key = file.row_key.as_slice().try_into().map_err(|_| StoreError::Unreadable("files.row_key"))?;
    let plain = app.cipher.open("files", "body", row_key, &file.body).map_err(Failure::broken)?;
    Ok(plain.to_vec())
}
