//! Papers of sites with their dates.

use chrono::NaiveDate;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::site_papers;
use crate::domain::ids::SiteId;
use crate::domain::site_paper::{SitePaper, SitePaperKind};

type Row = (SiteId, SitePaperKind, NaiveDate, NaiveDate, Option<NaiveDate>);

fn paper((site, kind, valid_from, valid_through, taken_back_on): Row) -> (SiteId, SitePaper) {
    (site, SitePaper { kind, valid_from, valid_through, taken_back_on })
}

macro_rules! rows {
    () => {
        site_papers::table.order(site_papers::id).select((
            site_papers::site_id,
            site_papers::kind,
            site_papers::valid_from,
            site_papers::valid_through,
            site_papers::taken_back_on,
        ))
    };
}

/// Adds a paper.
pub fn add_site_paper(conn: &mut AnyConn, site: SiteId, paper: &SitePaper) -> Result<(), StoreError> {
    diesel::insert_into(site_papers::table)
        .values((
            site_papers::site_id.eq(site),
            site_papers::kind.eq(paper.kind),
            site_papers::valid_from.eq(paper.valid_from),
            site_papers::valid_through.eq(paper.valid_through),
            site_papers::taken_back_on.eq(paper.taken_back_on),
        ))
        .execute(conn)?;
    Ok(())
}

/// The papers of a site in the order in which they were entered. None is ever removed, so a place in it stays.
pub fn papers_of_site(conn: &mut AnyConn, site: SiteId) -> Result<Vec<SitePaper>, StoreError> {
    let rows: Vec<Row> = rows!().filter(site_papers::site_id.eq(site)).load(conn)?;
    Ok(rows.into_iter().map(|row| paper(row).1).collect())
}

/// The papers of every site.
pub fn list_site_papers(conn: &mut AnyConn) -> Result<Vec<(SiteId, SitePaper)>, StoreError> {
    let rows: Vec<Row> = rows!().load(conn)?;
    Ok(rows.into_iter().map(paper).collect())
}

/// Takes back the paper at a place in a site's list, from a day on; says whether one was there to take back.
pub fn take_back_site_paper(conn: &mut AnyConn, site: SiteId, place: i64, on: NaiveDate) -> Result<bool, StoreError> {
    let found: Option<i64> = site_papers::table
        .filter(site_papers::site_id.eq(site))
        .order(site_papers::id)
        .select(site_papers::id)
        .offset(place)
        .first(conn)
        .optional()?;
    let Some(id) = found else { return Ok(false) };
    let standing = site_papers::table.filter(site_papers::id.eq(id)).filter(site_papers::taken_back_on.is_null());
    Ok(diesel::update(standing).set(site_papers::taken_back_on.eq(on)).execute(conn)? == 1)
}
