pub mod domain;
pub mod outside;
