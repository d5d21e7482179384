//! Small helpers for the page: tables, shares, medians.

/// A table in Markdown.
pub fn table(header: &[&str], rows: &[Vec<String>]) -> String {
    let line = |cells: &[String]| format!("| {} |\n", cells.join(" | "));
    let header: Vec<String> = header.iter().map(|cell| (*cell).to_string()).collect();
    let mut out = line(&header);
    out += &format!("|{}\n", " --- |".repeat(header.len()));
    rows.iter().for_each(|row| out += &line(row));
    out
}

/// `62 %`.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

/// The middle value, of an even number the mean of the two in the middle; 0 of none.
pub fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    match values.len() {
        0 => 0.0,
        n if n % 2 == 1 => values[n / 2],
        n => (values[n / 2 - 1] + values[n / 2]) / 2.0,
    }
}

/// How many out of how many.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tally {
    pub kept: usize,
    pub of: usize,
}

impl Tally {
    pub fn add(&mut self, kept: bool) {
        self.kept += usize::from(kept);
        self.of += 1;
    }

    pub fn share(self) -> f64 {
        self.kept as f64 / self.of.max(1) as f64
    }
}

impl std::ops::AddAssign for Tally {
    fn add_assign(&mut self, other: Tally) {
        self.kept += other.kept;
        self.of += other.of;
    }
}

impl std::fmt::Display for Tally {
    /// `31 of 40 (78 %)`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "{} of {} ({})",
            self.kept,
            self.of,
            percent(self.share())
        )
    }
}
