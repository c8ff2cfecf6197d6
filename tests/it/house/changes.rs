//! Tells which tables a request changed: triggers in the story's own database count each row written.

use std::collections::BTreeMap;

use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};
use waymark::settings::Engine;
use waymark::store::StoreError;
use waymark::store::connection::AnyConn;
use waymark::store::migrations::execute;

use super::app::TestApp;

#[derive(QueryableByName)]
struct Counted {
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = BigInt)]
    count: i64,
}

/// How often each table was written since the watch began.
pub type Writes = BTreeMap<String, i64>;

impl TestApp {
    /// Begins to count the rows written, table by table.
    pub fn watch_changes(&self) {
        let engine = self.database.url.engine();
        let watch = move |conn: &mut AnyConn| {
            execute(conn, "CREATE TABLE watched (name TEXT NOT NULL PRIMARY KEY, count BIGINT NOT NULL)")?;
            if engine == Engine::Postgres {
                execute(conn, NOTE)?;
            }
            for table in tables() {
                execute(conn, &format!("INSERT INTO watched (name, count) VALUES ('{table}', 0)"))?;
                execute(conn, &triggers(engine, &table))?;
            }
            Ok::<_, StoreError>(())
        };
        self.app.store.write("watch changes", watch).expect("the tables can be watched");
    }

    /// The count so far.
    pub fn writes(&self) -> Writes {
        let load = |conn: &mut AnyConn| diesel::sql_query("SELECT name, count FROM watched").load::<Counted>(conn);
        self.rows(load).into_iter().map(|row| (row.name, row.count)).collect()
    }
}

/// The tables that differ between two counts.
pub fn changed(before: &Writes, after: &Writes) -> Vec<String> {
    after.iter().filter(|(name, count)| before.get(*name) != Some(count)).map(|(name, _)| name.clone()).collect()
}

const NOTE: &str = "CREATE FUNCTION note_change() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN
    UPDATE watched SET count = count + 1 WHERE name = TG_TABLE_NAME; RETURN NULL; END $$";

fn triggers(engine: Engine, table: &str) -> String {
    let each = |verb: &str| match engine {
        Engine::Sqlite => format!(
            "CREATE TRIGGER watch_{table}_{verb} AFTER {verb} ON {table} BEGIN
             UPDATE watched SET count = count + 1 WHERE name = '{table}'; END;"
        ),
        Engine::Postgres => format!(
            "CREATE TRIGGER watch_{table}_{verb} AFTER {verb} ON {table} FOR EACH ROW EXECUTE FUNCTION note_change();"
        ),
    };
    ["INSERT", "UPDATE", "DELETE"].map(each).concat()
}

/// Every table that the program knows.
fn tables() -> Vec<String> {
    let source = include_str!("../../../src/store/schema.rs");
    let name = |table: &str| table.trim_start().split([' ', '(']).next().expect("a name").to_owned();
    source.split("diesel::table! {").skip(1).map(name).collect()
}
