fn main() {
    println!("cargo::rerun-if-changed=migrations");
    println!("cargo::rerun-if-changed=templates");
    println!("cargo::rerun-if-changed=seed");
}
