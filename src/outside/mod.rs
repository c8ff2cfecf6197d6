//! Floor 2, beside the store: the other edges of the program. Clock, chance, ciphers, passwords, mail and the text
//! formats that other programs read. Each edge has a real form and a test form where a test needs one.
//! Must not know the store, the services or the web.

pub mod calendar;
pub mod cipher;
pub mod clock;
pub mod mail;
pub mod password;
pub mod pdf;
pub mod photo;
pub mod post;
pub mod random;
pub mod sheet;
pub mod table;
pub mod text_gateway;
pub mod totp;
