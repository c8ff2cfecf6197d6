//! When each book of rules and each consent text was last looked over and left as it stands.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::rule_reviews;
use crate::domain::ids::AccountId;

/// The day of each look, by the book's word.
pub fn reviews(conn: &mut AnyConn) -> Result<BTreeMap<String, NaiveDate>, StoreError> {
    let rows: Vec<(String, NaiveDate)> =
        rule_reviews::table.select((rule_reviews::book, rule_reviews::looked_on)).load(conn)?;
    Ok(rows.into_iter().collect())
}

/// Notes a look.
pub fn set_review(conn: &mut AnyConn, book: &str, on: NaiveDate, by: AccountId) -> Result<(), StoreError> {
    let now = (rule_reviews::looked_on.eq(on), rule_reviews::account_id.eq(by));
    if diesel::update(rule_reviews::table.filter(rule_reviews::book.eq(book))).set(now).execute(conn)? == 0 {
        diesel::insert_into(rule_reviews::table).values((rule_reviews::book.eq(book), now.0, now.1)).execute(conn)?;
    }
    Ok(())
}
