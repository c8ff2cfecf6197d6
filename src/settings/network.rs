//! Addresses in the settings: trusted networks, the public address, and what counts as this machine.

use std::net::IpAddr;
use std::str::FromStr;

/// One address, or a block of them as in `10.0.0.0/8`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Network {
    base: IpAddr,
    bits: u32,
}

impl Network {
    /// Whether the address lies in the block.
    #[must_use]
    pub fn holds(&self, address: IpAddr) -> bool {
        match (self.base, address.to_canonical()) {
            (IpAddr::V4(base), IpAddr::V4(asked)) => {
                same_head(u128::from(base.to_bits()), u128::from(asked.to_bits()), 32 - self.bits)
            }
            (IpAddr::V6(base), IpAddr::V6(asked)) => same_head(base.to_bits(), asked.to_bits(), 128 - self.bits),
            _ => false,
        }
    }
}

fn same_head(left: u128, right: u128, tail: u32) -> bool {
    left.checked_shr(tail).unwrap_or(0) == right.checked_shr(tail).unwrap_or(0)
}

impl FromStr for Network {
    type Err = &'static str;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        const SHAPE: &str = "an address, or an address and a number of bits";
        let (base, bits) = match text.split_once('/') {
            Some((base, bits)) => (base, Some(bits.parse::<u32>().map_err(|_| SHAPE)?)),
            None => (text, None),
        };
        let base: IpAddr = base.parse().map_err(|_| SHAPE)?;
        let most = if base.is_ipv4() { 32 } else { 128 };
        match bits.unwrap_or(most) {
            bits if bits <= most => Ok(Self { base, bits }),
            _ => Err(SHAPE),
        }
    }
}

/// What is wrong with a public address, if anything.
pub(super) fn public_url_fault(url: &str) -> Option<&'static str> {
    let host = url.strip_prefix("https://").or_else(|| url.strip_prefix("http://"));
    match host {
        None => Some("must start with https:// or http://"),
        Some("") => Some("names no host"),
        Some(host) if host.contains(['/', '?', '#', '@', ' ']) => Some("must be scheme, host and port alone"),
        Some(_) => None,
    }
}

/// Whether a host name means this very machine.
pub(super) fn is_this_machine(host: &str) -> bool {
    host == "localhost" || host.parse::<IpAddr>().is_ok_and(|address| address.is_loopback())
}
