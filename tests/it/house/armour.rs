//! The headers that every answer of the program carries, whatever it says.

use super::browser::Answered;

const POLICY: [&str; 11] = [
    "default-src 'none'",
    "script-src 'self'",
    "style-src 'self'",
    "img-src 'self'",
    "connect-src 'self'",
    "form-action 'self'",
    "base-uri 'none'",
    "frame-ancestors 'none'",
    "object-src 'none'",
    "manifest-src 'self'",
    "worker-src 'self'",
];

/// What is missing or too much in the headers of an answer.
pub fn gaps(answered: &Answered) -> Vec<String> {
    let header = |name: &str| answered.header(name).unwrap_or_default();
    let policy = header("content-security-policy");
    // A file to take away runs nothing at all.
    let is_file = header("content-disposition").starts_with("attachment") && policy == "sandbox; default-src 'none'";
    let mut gaps: Vec<String> = POLICY
        .iter()
        .filter(|part| !is_file && !policy.split("; ").any(|found| found == **part))
        .map(|part| format!("{part} is missing in the policy {policy:?}"))
        .collect();
    if policy.contains("unsafe") {
        gaps.push(policy.to_owned());
    }
    for (name, value) in [
        ("x-content-type-options", "nosniff"),
        ("referrer-policy", "same-origin"),
        ("cross-origin-opener-policy", "same-origin"),
    ] {
        if header(name) != value {
            gaps.push(format!("{name}: {:?}", header(name)));
        }
    }
    if !header("permissions-policy").contains("camera=()") {
        gaps.push(format!("permissions-policy: {:?}", header("permissions-policy")));
    }
    let reveals = |name: &str| name.starts_with("access-control-") || name == "server";
    gaps.extend(answered.headers.iter().filter(|(name, _)| reveals(name)).map(|(name, _)| format!("{name} is sent")));
    gaps
}
