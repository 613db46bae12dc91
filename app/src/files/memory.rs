//! The one place that asks the system how much memory is free.

/// What is taken for free where the system does not say it, bytes: half of what a laptop has.
const USUAL: u64 = 4_000_000_000;

/// Memory that a command may still take, bytes.
pub fn free() -> u64 {
    let about = std::fs::read_to_string("/proc/meminfo").unwrap_or_default();
    available(&about).unwrap_or(USUAL)
}

/// `MemAvailable: 1234 kB`, as Linux writes it.
fn available(about: &str) -> Option<u64> {
    let line = about.lines().find_map(|line| line.strip_prefix("MemAvailable:"))?;
    line.trim().strip_suffix("kB")?.trim().parse::<u64>().ok()?.checked_mul(1024)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_system_says_is_read_and_nothing_is_made_of_other_text() {
        assert_eq!(available("MemTotal: 9 kB\nMemAvailable:    1024 kB\n"), Some(1024 * 1024));
        assert_eq!(available("MemAvailable: much"), None);
        assert_eq!(available(""), None);
        assert!(free() > 0);
    }
}
