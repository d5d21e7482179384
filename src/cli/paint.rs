//! The report in colour, where standard output is a terminal that shows it and NO_COLOR is not set.

use super::files::to_stdout;
use anstream::{AutoStream, ColorChoice};
use anstyle::{AnsiColor, Style};

/// Writes the report, painted if the terminal takes it.
pub fn print(report: &str) -> Result<(), String> {
    let choice = AutoStream::choice(&std::io::stdout());
    let text = match choice {
        ColorChoice::Never => report.to_string(),
        _ => painted(report),
    };
    to_stdout(|out| out.write_all(text.as_bytes()))
}

/// Titles bold, harvest weeks green, weeks below the band and missed floors red; the words stay as
/// they are.
fn painted(report: &str) -> String {
    let title = Style::new().bold();
    let lines: Vec<&str> = report.lines().collect();
    let mut out = String::new();
    let mut section = "";
    for (i, line) in lines.iter().enumerate() {
        let underlined = |i: usize| {
            lines
                .get(i)
                .is_some_and(|l| l.len() > 2 && l.chars().all(|c| c == '-'))
        };
        if underlined(i + 1) {
            section = line;
            out += &format!("{title}{line}{title:#}\n");
        } else if underlined(i) {
            out += &format!("{line}\n");
        } else {
            out += &in_section(section, line);
            out.push('\n');
        }
    }
    out
}

fn in_section(section: &str, line: &str) -> String {
    let red = AnsiColor::Red.on_default();
    match section {
        "Missed floors" if !line.trim_start().starts_with("none") => {
            format!("{red}{line}{red:#}")
        }
        "The year at a glance" if line.starts_with("  all food") => {
            runs(line, |c| (c == '-').then_some(red))
        }
        "The year, bed by bed" => {
            let green = AnsiColor::Green.on_default();
            runs(line, |c| (c == '=').then_some(green))
        }
        _ => line.to_string(),
    }
}

/// The line with each run of characters of one style painted in it.
fn runs(line: &str, style: impl Fn(char) -> Option<Style>) -> String {
    let characters: Vec<char> = line.chars().collect();
    let mut out = String::new();
    for run in characters.chunk_by(|a, b| style(*a) == style(*b)) {
        let text: String = run.iter().collect();
        match style(run[0]) {
            Some(style) => out += &format!("{style}{text}{style:#}"),
            None => out += &text,
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn painting_changes_no_word() {
        let report = "\nMissed floors\n-------------\n  leeks  2 kg\n\nThe year, bed by bed\n\
                      --------------------\n  1  KALE==== .\n";
        let painted = painted(report);
        assert_ne!(painted, report);
        assert_eq!(anstream::adapter::strip_str(&painted).to_string(), report);
    }
}
