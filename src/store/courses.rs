//! Kinds of training.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::courses;
use crate::domain::ids::CourseId;
use crate::domain::proof::ProofRule;
use crate::domain::words::Lang;

/// A course.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = courses)]
pub struct CourseRow {
    /// The row.
    pub id: CourseId,
    /// A short word for addresses and tables.
    pub code: String,
    /// Title in English.
    pub title_en: String,
    /// Title in Spanish.
    pub title_es: String,
    /// Least age on the session's first day, completed years.
    pub least_age: i64,
    /// Greatest age.
    pub most_age: i64,
    /// Riders that one instructor may teach.
    pub riders_per_instructor: i64,
    /// The age from which the certificate counts.
    pub least_age_certificate: i64,
    /// Whether it asks for proof of an earlier part.
    pub proof_rule: ProofRule,
    /// What that part is called, in English.
    pub proof_en: String,
    /// What that part is called, in Spanish.
    pub proof_es: String,
}

impl CourseRow {
    /// What the earlier part is called in a language; nothing when none is asked for.
    pub fn earlier_part(&self, language: Lang) -> Option<&str> {
        let title = match language {
            Lang::En => &self.proof_en,
            Lang::Es => &self.proof_es,
        };
        (self.proof_rule != ProofRule::None).then_some(title.as_str())
    }

    /// The title in a language.
    pub fn title(&self, language: Lang) -> &str {
        match language {
            Lang::En => &self.title_en,
            Lang::Es => &self.title_es,
        }
    }
}

/// A course about to be made.
#[derive(Clone, Debug, PartialEq, Eq, Insertable, serde::Deserialize)]
#[diesel(table_name = courses)]
pub struct NewCourse {
    /// A short word for addresses and tables.
    pub code: String,
    /// Title in English.
    pub title_en: String,
    /// Title in Spanish.
    pub title_es: String,
    /// Least age.
    pub least_age: i64,
    /// Greatest age.
    pub most_age: i64,
    /// Riders that one instructor may teach.
    pub riders_per_instructor: i64,
    /// The age from which the certificate counts.
    pub least_age_certificate: i64,
}

/// Adds a course.
pub fn add_course(conn: &mut AnyConn, course: &NewCourse) -> Result<CourseId, StoreError> {
    Ok(diesel::insert_into(courses::table).values(course).returning(courses::id).get_result(conn)?)
}

/// Sets what a course asks for: proof of an earlier part, with the part's title in English and Spanish.
pub fn set_proof(conn: &mut AnyConn, id: CourseId, rule: ProofRule, titles: [&str; 2]) -> Result<(), StoreError> {
    diesel::update(courses::table.filter(courses::id.eq(id)))
        .set((courses::proof_rule.eq(rule), courses::proof_en.eq(titles[0]), courses::proof_es.eq(titles[1])))
        .execute(conn)?;
    Ok(())
}

/// All courses, youngest first.
pub fn list_courses(conn: &mut AnyConn) -> Result<Vec<CourseRow>, StoreError> {
    Ok(courses::table.order((courses::least_age, courses::code)).select(CourseRow::as_select()).load(conn)?)
}

/// The course of a code.
pub fn find_course(conn: &mut AnyConn, code: &str) -> Result<Option<CourseRow>, StoreError> {
    Ok(courses::table.filter(courses::code.eq(code)).select(CourseRow::as_select()).first(conn).optional()?)
}
