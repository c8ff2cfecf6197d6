pub mod error_page;
pub mod page;
