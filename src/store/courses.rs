//! Kinds of training.

use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::courses;
use crate::domain::ids::CourseId;
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
}

impl CourseRow {
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

/// All courses, youngest first.
pub fn list_courses(conn: &mut AnyConn) -> Result<Vec<CourseRow>, StoreError> {
    Ok(courses::table.order((courses::least_age, courses::code)).select(CourseRow::as_select()).load(conn)?)
}

/// The course of a code.
pub fn find_course(conn: &mut AnyConn, code: &str) -> Result<Option<CourseRow>, StoreError> {
    Ok(courses::table.filter(courses::code.eq(code)).select(CourseRow::as_select()).first(conn).optional()?)
}
