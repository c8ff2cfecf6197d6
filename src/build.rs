//! Tells cargo that the program holds its migrations, pages and seed data: a change there means a new build.

fn main() {
    for folder in ["migrations", "templates", "seed"] {
        println!("cargo::rerun-if-changed={folder}");
    }
}
