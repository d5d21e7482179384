//! The search's window on the world: the clock, the user's wish to stop, and the progress line.
//!
//! On a terminal one line is refreshed; otherwise a line is written when something changed, at
//! most about one a second.

use super::trace::Trace;
use crate::solve::{Progress, Watch};
use std::io::{IsTerminal, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Shortest time between two lines, seconds.
const LINE_SECONDS: f64 = 1.0;
/// Shortest time between two refreshes on a terminal, seconds.
const REFRESH_SECONDS: f64 = 0.1;
/// How often the clock on a terminal is moved on while nothing is reported.
const TICK: Duration = Duration::from_millis(500);

/// How progress is shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Show {
    Nothing,
    Lines,
    OneLine,
}

struct Shown {
    last: Option<Progress>,
    /// Not yet written.
    pending: bool,
    /// When something was last written, seconds.
    at: f64,
    /// Characters on the terminal's line.
    width: usize,
}

/// Watches one search.
pub struct Reporter {
    began: Instant,
    stop: Arc<AtomicBool>,
    show: Show,
    shown: Mutex<Shown>,
    trace: Option<Mutex<Trace>>,
}

impl Reporter {
    /// Listens for Ctrl-C from now on.
    pub fn new(began: Instant, quiet: bool) -> Reporter {
        let stop = Arc::new(AtomicBool::new(false));
        let flag = Arc::clone(&stop);
        // Without a handler Ctrl-C ends the program as usual.
        let _ = ctrlc::set_handler(move || flag.store(true, Ordering::Relaxed));
        let show = if quiet {
            Show::Nothing
        } else if std::io::stderr().is_terminal() {
            Show::OneLine
        } else {
            Show::Lines
        };
        Reporter {
            began,
            stop,
            show,
            shown: Mutex::new(Shown {
                last: None,
                pending: false,
                at: f64::NEG_INFINITY,
                width: 0,
            }),
            trace: None,
        }
    }

    /// Writes a trace besides.
    pub fn traced(self, trace: Option<Trace>) -> Reporter {
        Reporter {
            trace: trace.map(Mutex::new),
            ..self
        }
    }

    /// What went wrong with the trace.
    pub fn trace_written(&self) -> Result<(), String> {
        match self.trace.as_ref().map(Mutex::lock) {
            Some(Ok(trace)) => trace.end(),
            _ => Ok(()),
        }
    }

    /// Runs the search, moving the clock on a terminal meanwhile.
    pub fn during<T: Send>(&self, search: impl FnOnce() -> T + Send) -> T {
        let over = AtomicBool::new(false);
        let answer = std::thread::scope(|scope| {
            let ticker = (self.show == Show::OneLine).then(|| {
                scope.spawn(|| {
                    while !over.load(Ordering::Relaxed) {
                        std::thread::park_timeout(TICK);
                        self.write(REFRESH_SECONDS, true);
                    }
                })
            });
            let answer = search();
            over.store(true, Ordering::Relaxed);
            if let Some(ticker) = ticker {
                ticker.thread().unpark();
            }
            answer
        });
        self.finish();
        answer
    }

    /// Writes what is known, unless something was written less than `pause` seconds ago.
    fn write(&self, pause: f64, unchanged_too: bool) {
        let now = self.seconds();
        let Ok(mut shown) = self.shown.lock() else {
            return;
        };
        if now - shown.at < pause || !(shown.pending || unchanged_too) {
            return;
        }
        let Some(progress) = shown.last else {
            return;
        };
        let line = line(now, &progress);
        let mut err = std::io::stderr().lock();
        // A closed terminal is no reason to give up the search.
        let _ = match self.show {
            Show::OneLine => {
                let width = shown.width;
                shown.width = line.len();
                write!(err, "\r{line:<width$}").and_then(|()| err.flush())
            }
            _ => writeln!(err, "{line}"),
        };
        shown.at = now;
        shown.pending = false;
    }

    /// The last state, and the end of the line.
    fn finish(&self) {
        match self.show {
            Show::Nothing => {}
            Show::Lines => self.write(0.0, false),
            Show::OneLine => {
                self.write(0.0, true);
                let _ = writeln!(std::io::stderr());
            }
        }
    }
}

impl Watch for Reporter {
    fn seconds(&self) -> f64 {
        self.began.elapsed().as_secs_f64()
    }

    fn interrupted(&self) -> bool {
        self.stop.load(Ordering::Relaxed)
    }

    fn progress(&self, progress: Progress) {
        if let Some(Ok(mut trace)) = self.trace.as_ref().map(Mutex::lock) {
            trace.add(self.seconds(), &progress);
        }
        if self.show == Show::Nothing {
            return;
        }
        if let Ok(mut shown) = self.shown.lock() {
            shown.pending |= shown.last != Some(progress);
            shown.last = Some(progress);
        }
        match self.show {
            Show::OneLine => self.write(REFRESH_SECONDS, false),
            _ => self.write(LINE_SECONDS, false),
        }
    }

    fn meanwhile(&self, progress: Progress) {
        self.progress(progress);
    }
}

/// Time, phase, plan so far, proven bound and gap; dashes for what is not known yet.
pub fn line(seconds: f64, progress: &Progress) -> String {
    let money = |value: Option<f64>| value.map_or("-".to_string(), |v| format!("{v:.2}"));
    let gap = match (progress.worth, progress.bound) {
        (Some(worth), Some(bound)) if bound.is_finite() && bound != 0.0 => {
            format!("{:.2} %", 100.0 * ((bound - worth) / bound.abs()).max(0.0))
        }
        _ => "-".to_string(),
    };
    format!(
        "{seconds:>7.1} s  {:<10} plan {:>11}  bound {:>11}  gap {gap:>9}",
        progress.phase,
        money(progress.worth),
        money(progress.bound)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dashes_stand_for_what_is_not_known_yet() {
        let progress = Progress {
            phase: "prices",
            worth: None,
            bound: Some(200.0),
        };
        let text = line(1.25, &progress);
        assert!(
            text.contains("plan           -") && text.contains("200.00"),
            "{text}"
        );
        assert!(text.ends_with("gap         -"), "{text}");
    }

    #[test]
    fn the_gap_is_of_the_bound() {
        let progress = Progress {
            phase: "improve",
            worth: Some(-110.0),
            bound: Some(-100.0),
        };
        assert!(line(0.0, &progress).ends_with("10.00 %"));
    }
}
