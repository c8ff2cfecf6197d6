//! What is added to a report and never changed: words after it was closed or before, and photos, which keep their pixels alone.

use super::{key_of, read, write};
use crate::domain::access::Caller;
use crate::domain::refusal::IncidentRefusal;
use crate::outside::photo::{MEDIA, PhotoFault, cleaned};
use crate::services::{App, Failure};
use crate::store::StoreError;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::files::{NewFile, add_file, find_file};
use crate::store::incidents::{AddendumRow, PhotoRow, add_photo as keep_photo, find_incident, photos_of};

/// Where the seal of added words belongs.
const SEAL: (&str, &str) = ("incident_addenda", "body");
/// The most photos of one report.
pub const MOST_PHOTOS: usize = 20;

/// The words of something added.
pub(super) fn words(app: &App, row: &AddendumRow) -> Result<String, Failure> {
    let plain = app.cipher.open(SEAL.0, SEAL.1, &key_of(&row.row_key)?, &row.body).map_err(Failure::broken)?;
    String::from_utf8(plain.to_vec()).map_err(Failure::broken)
}

/// Adds words to a report; to a closed one, too.
///
/// # Errors
/// `NotFound`.
pub fn add_addendum(app: &App, caller: &Caller, reference: &str, words: &str) -> Result<(), Failure> {
    let row_key: [u8; 16] = app.random.bytes();
    let body = app.cipher.seal(SEAL.0, SEAL.1, &row_key, words.as_bytes());
    write(app, caller, reference, "incident.add", move |conn, read, by, now| {
        let row = AddendumRow { row_key: row_key.to_vec(), body: body.clone(), at: now, account_id: by };
        crate::store::incidents::add_addendum(conn, read.row.id, &row)?;
        Ok(Some(String::new()))
    })
}

/// Adds a photo. What its file told besides the picture is gone.
///
/// # Errors
/// `NotFound`; `TooManyPhotos`. The inner fault says why the file is no photo.
pub fn add_photo(app: &App, caller: &Caller, reference: &str, bytes: &[u8]) -> Result<Result<(), PhotoFault>, Failure> {
    // Who may not see the report gets no picture decoded.
    app.store.read(|conn| {
        let row = find_incident(conn, reference)?;
        read(app, conn, caller, row).map(|_| ())
    })?;
    let clean = match cleaned(bytes) {
        Ok(clean) => clean,
        Err(fault) => return Ok(Err(fault)),
    };
    let row_key: [u8; 16] = app.random.bytes();
    let (file, body) = (app.random.reference(), app.cipher.seal("files", "body", &row_key, &clean));
    write(app, caller, reference, "incident.photo", move |conn, read, by, now| {
        let kept = photos_of(conn, read.row.id)?;
        if kept.len() >= MOST_PHOTOS {
            return Err(super::no(IncidentRefusal::TooManyPhotos { most: MOST_PHOTOS }));
        }
        let file_id = add_file(
            conn,
            &NewFile {
                reference: file.clone(),
                kind: "incident_photo".to_owned(),
                media: MEDIA.to_owned(),
                row_key: row_key.to_vec(),
                body: body.clone(),
                created_at: now,
            },
        )?;
        let ordinal = kept.iter().map(|photo| photo.ordinal).max().unwrap_or(0) + 1;
        keep_photo(conn, read.row.id, &PhotoRow { ordinal, file_id, at: now, account_id: by })?;
        Ok(Some(format!("photo {ordinal}")))
    })?;
    Ok(Ok(()))
}

/// The bytes of a photo. The look is noted.
///
/// # Errors
/// `NotFound` when there is none, or the caller may not know of the report.
pub fn photo(app: &App, caller: &Caller, reference: &str, ordinal: i64) -> Result<Vec<u8>, Failure> {
    let (own, caller, reference) = (app.clone(), caller.clone(), reference.to_owned());
    app.store.write("read photo", move |conn| -> Result<Vec<u8>, Failure> {
        let row = find_incident(conn, &reference)?;
        let read = read(&own, conn, &caller, row)?;
        let photo = photos_of(conn, read.row.id)?.into_iter().find(|photo| photo.ordinal == ordinal);
        let file = find_file(conn, photo.ok_or(Failure::NotFound)?.file_id)?;
        let row_key = file.row_key.as_slice().try_into().map_err(|_| StoreError::Unreadable("files.row_key"))?;
        let plain = own.cipher.open("files", "body", row_key, &file.body).map_err(Failure::broken)?;
        let (subject, detail) = (format!("incident {reference}"), format!("photo {ordinal}"));
        add_audit_row(conn, &AuditRow::by(&caller, own.clock.now(), "incident.read", subject, detail))?;
        Ok(plain.to_vec())
    })
}
