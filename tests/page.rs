//! The page, the calendar, the tables and the charts of a plan.
//!
//! Where the answers come from: the plan itself, read by other roads: tables by the `csv` crate
//! (RFC 4180), lines of the calendar by RFC 5545's own rules, the page's policy by reckoning the
//! fingerprints again (W3C CSP Level 3). The browser's view is in `cross/page.py`.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/hostile.rs"]
mod hostile;
#[path = "support/plans.rs"]
mod plans;

use base64::Engine;
use bedweek::plan::YearPlan;
use bedweek::render::{self, Kind, Selection, Table};
use bedweek::units::Week;
use chrono::{DateTime, Utc};
use plans::{Made, made};
use sha2::{Digest, Sha256};

fn small() -> Made {
    made("small-plot", greedy::greedy)
}

/// The small plot, everything in it named by somebody hostile.
fn hostile() -> Made {
    hostile::hostile(greedy::greedy)
}

fn page(made: &Made) -> String {
    render::page(&made.scenario, &made.plan, &Selection::default())
}

fn noon() -> DateTime<Utc> {
    "2027-02-20T12:00:00Z".parse().expect("a fixed date")
}

fn calendar(made: &Made) -> String {
    render::job_calendar(&made.scenario, &made.plan, &Selection::default(), noon())
}

/// The text between two marks.
fn between<'a>(text: &'a str, from: &str, to: &str) -> &'a str {
    let (_, rest) = text.split_once(from).unwrap_or_else(|| panic!("no {from}"));
    rest.split_once(to).unwrap_or_else(|| panic!("no {to}")).0
}

#[test]
fn hostile_names_stay_text() {
    let made = hostile();
    let page = page(&made);
    let lower = page.to_lowercase();
    assert_eq!(
        lower.matches("<script").count(),
        1,
        "only the page's own script"
    );
    assert_eq!(lower.matches("<style").count(), 1);
    assert!(!lower.contains("<img") && !lower.contains("onerror=alert(1)>"));
    assert!(
        page.contains("{{ 7 * 7 }}"),
        "a name is not taken for a template"
    );
    for (_, chart) in render::charts(&made.scenario, &made.plan) {
        assert!(!chart.contains("<script") && !chart.contains("<img"));
        assert_eq!(chart.matches("</style>").count(), 1);
    }
}

#[test]
fn the_policy_allows_just_what_is_in_the_page() {
    for made in [small(), hostile()] {
        let page = page(&made);
        let policy = between(
            &page,
            "http-equiv=\"Content-Security-Policy\" content=\"",
            "\"",
        );
        let policy = policy.replace("&#39;", "'").replace("&#x27;", "'");
        assert!(policy.contains("default-src 'none'"), "{policy}");
        for unsafe_word in ["unsafe-inline", "unsafe-eval", "http", "*"] {
            assert!(!policy.contains(unsafe_word), "{policy}");
        }
        for (kind, text) in [
            ("style-src", between(&page, "<style>", "</style>")),
            ("script-src", between(&page, "<script>", "</script>")),
        ] {
            let print = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(text));
            let allowed = format!("{kind} 'sha256-{print}'");
            assert!(policy.contains(&allowed), "{allowed} is not in {policy}");
        }
        // Nothing is fetched: no address but those of links within the page and namespaces.
        for attribute in ["src=\"", "href=\"http", "@import", "url(http"] {
            assert!(!page.contains(attribute), "{attribute}");
        }
    }
}

#[test]
fn every_planting_and_every_week_is_on_the_page() {
    let made = small();
    let page = page(&made);
    for planting in &made.plan.plantings {
        assert!(page.contains(&format!("<tr id=\"{}\">", planting.id)));
        // What is cleared on the first day takes no ground.
        let drawn = planting.planted.max(made.plan.scenario.start) < planting.cleared;
        assert_eq!(
            page.contains(&format!("href=\"#{}\"", planting.id)),
            drawn,
            "{}",
            planting.id
        );
    }
    assert_eq!(
        page.matches("class=\"week\"").count(),
        made.plan.scenario.weeks
    );
    assert!(
        page.contains("Cautions"),
        "something that is grown needs a caution"
    );
}

/// A table read by another library.
fn read(made: &Made, table: Table) -> Vec<csv::StringRecord> {
    let text = render::table(&made.scenario, &made.plan, &Selection::default(), table);
    assert_eq!(
        text.matches('\n').count(),
        text.matches("\r\n").count(),
        "CR LF"
    );
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(reader.headers().expect("a head"), table.columns());
    reader
        .records()
        .map(|record| record.expect("as many cells as the head"))
        .collect()
}

#[test]
fn tables_say_what_the_plan_says() {
    for made in [small(), hostile()] {
        let plan: &YearPlan = &made.plan;
        let cells = |record: &csv::StringRecord, column: usize| -> f64 {
            record[column].parse().expect("a number")
        };
        let supply = read(&made, Table::Supply);
        let weeks = plan.supply.iter().flat_map(|food| &food.weeks);
        assert_eq!(supply.len(), weeks.clone().count());
        for (record, week) in supply.iter().zip(weeks) {
            assert_eq!(record[2].parse::<Week>(), Ok(week.week));
            assert_eq!(cells(record, 8), week.eaten);
            assert_eq!(cells(record, 9), week.short);
        }
        let plantings = read(&made, Table::Plantings);
        assert_eq!(plantings.len(), plan.plantings.len());
        for (record, planting) in plantings.iter().zip(&plan.plantings) {
            assert_eq!(record[0], planting.id);
            assert_eq!(record[1].trim_start_matches('\''), planting.crop);
            assert_eq!(record[16].parse::<Week>(), Ok(planting.cleared));
        }
        let buying = read(&made, Table::Buying);
        let money: f64 = buying.iter().map(|record| cells(record, 3)).sum();
        let known: f64 = plan.buying.iter().map(|line| line.money).sum();
        assert!((money - known).abs() < 1e-9);
        assert_eq!(
            read(&made, Table::Jobs).len(),
            render::jobs(&made.scenario, plan).len()
        );
    }
}

#[test]
fn no_cell_is_a_formula() {
    let made = hostile();
    for table in Table::ALL {
        for record in &read(&made, table) {
            for cell in record {
                let formula = cell.starts_with(['=', '+', '@', '-']);
                assert!(!formula || cell.parse::<f64>().is_ok(), "{cell}");
            }
        }
    }
}

/// A shelf without lamps once gave a chart that no browser could draw.
#[test]
fn every_number_of_a_chart_is_a_number() {
    let made = small();
    assert_eq!(
        made.scenario.shelf.lit_m2, 0.0,
        "the small plot has no lamps"
    );
    for (name, chart) in render::charts(&made.scenario, &made.plan) {
        for word in ["NaN", "\"inf", "width=\"-", "height=\"-"] {
            assert!(!chart.contains(word), "{name}: {word}");
        }
    }
}

#[test]
fn every_new_planting_has_its_jobs() {
    let made = small();
    let jobs = render::jobs(&made.scenario, &made.plan);
    let planned = |week: Week| {
        let since = week.since(made.plan.scenario.start);
        (0..i32::try_from(made.plan.scenario.weeks).expect("short")).contains(&since)
    };
    let mut found = 0;
    for planting in &made.plan.plantings {
        let mut wanted = vec![(Kind::Clear, planting.cleared)];
        match (&planting.raising, &planting.shelf) {
            (None, _) => {}
            (Some(_), None) => wanted.push((Kind::Sow, planting.sown)),
            (Some(_), Some(_)) => {
                wanted.push((Kind::Raise, planting.sown));
                wanted.push((Kind::Plant, planting.planted));
            }
        }
        for (kind, week) in wanted.into_iter().filter(|(_, week)| planned(*week)) {
            found += 1;
            let listed = jobs.iter().any(|job| {
                (job.kind, job.week, &job.what) == (kind, week, &planting.crop)
                    && job.concerns(&planting.bed)
            });
            assert!(listed, "{kind:?} {} in {week}", planting.id);
        }
    }
    assert!(found > 10, "the plot has work");
    let mut ids: Vec<String> = jobs.iter().map(render::Job::id).collect();
    let all = ids.len();
    ids.sort();
    ids.dedup();
    assert_eq!(ids.len(), all, "no two jobs share a name");
}

/// Leeks sown on the shelf in 2027-W13 and planted out in W20, by hand.
fn leeks(prick_out_weeks: u32) -> Made {
    let mut made = small();
    let crop = (made.scenario.crops.iter_mut())
        .find(|c| c.name == "winter leeks")
        .expect("the plot has leeks");
    crop.raisings[0].prick_out_weeks = prick_out_weeks;
    let raising = bedweek::plan::raising_name(crop, 0);
    let planting = &mut made.plan.plantings[0];
    planting.crop = crop.name.clone();
    planting.raising = Some(raising);
    planting.shelf = Some(bedweek::plan::ShelfStay {
        lit: false,
        m2: 0.05,
    });
    planting.sown = "2027-W13".parse().expect("a week");
    planting.planted = "2027-W20".parse().expect("a week");
    planting.plants = Some(29.5);
    made
}

/// Seedlings are moved from tray to modules in their week; what is sown in modules is not, nor what
/// is planted out by then.
#[test]
fn pricking_out_is_a_job_where_a_tray_comes_first() {
    let of = |made: &Made, kind: Kind| -> Vec<(String, String, String)> {
        (render::jobs(&made.scenario, &made.plan).iter())
            .filter(|job| job.kind == kind && job.what == "winter leeks")
            .map(|job| (job.week.to_string(), job.quantity(), job.detail.clone()))
            .collect()
    };
    let tray = leeks(4);
    let pricked = of(&tray, Kind::PrickOut);
    assert_eq!(pricked.len(), 1);
    let (week, quantity, detail) = &pricked[0];
    assert_eq!(
        (week.as_str(), quantity.as_str()),
        ("2027-W17", "30 plants")
    );
    // The plot raises leeks 600 to a square metre: 100 / sqrt(600) is 4.08 cm.
    assert!(detail.starts_with("modules, 4 cm each way; on the shelf, unlit"));
    assert!(of(&tray, Kind::Raise)[0].2.starts_with("in a tray; "));
    for weeks in [0, 7] {
        let made = leeks(weeks);
        assert!(of(&made, Kind::PrickOut).is_empty());
        assert!(of(&made, Kind::Raise)[0].2.starts_with("modules, 4 cm"));
    }
    let report = render::report_part(
        &tray.scenario,
        &tray.plan,
        &Selection {
            from: Some("2027-W17".parse().expect("a week")),
            ..Selection::default()
        },
    );
    assert!(
        report.contains("  prick out winter leeks, 30 plants"),
        "{report}"
    );
}

/// A chart that is a file of its own leads nowhere, the page's to the list of plantings.
#[test]
fn only_the_page_s_charts_have_links() {
    let made = small();
    for (name, chart) in render::charts(&made.scenario, &made.plan) {
        assert!(!chart.contains("<a "), "{name}");
        assert!(!chart.contains("href"), "{name}");
    }
    assert!(page(&made).contains("<a href=\"#P"));
}

#[test]
fn the_calendar_keeps_rfc_5545() {
    for made in [small(), hostile()] {
        let text = calendar(&made);
        assert!(text.starts_with("BEGIN:VCALENDAR\r\n") && text.ends_with("END:VCALENDAR\r\n"));
        for line in text.split("\r\n") {
            assert!(line.len() <= 75, "{} octets: {line}", line.len());
            assert!(!line.contains(['\r', '\n']));
        }
        assert_eq!(
            text.matches("\r\nBEGIN:VEVENT\r\n").count(),
            made.plan.scenario.weeks
        );
        for property in ["UID:", "DTSTAMP:20270220T120000Z", "DTSTART;VALUE=DATE:"] {
            assert_eq!(
                text.matches(&format!("\r\n{property}")).count(),
                made.plan.scenario.weeks,
                "{property}"
            );
        }
    }
}

#[test]
fn another_plan_of_the_holding_replaces_the_events_of_the_first() {
    let uids = |made: &Made| -> Vec<String> {
        let text = calendar(made);
        let uids = text.split("\r\n").filter(|line| line.starts_with("UID:"));
        uids.map(str::to_string).collect()
    };
    let (first, second) = (small(), made("small-plot", greedy::empty));
    assert_ne!(calendar(&first), calendar(&second));
    assert_eq!(uids(&first), uids(&second));
    let mut distinct = uids(&first);
    distinct.sort();
    distinct.dedup();
    assert_eq!(distinct.len(), first.plan.scenario.weeks);
    let mut elsewhere = small();
    elsewhere.plan.scenario.name = "Another plot".into();
    assert_ne!(uids(&elsewhere)[0], uids(&first)[0]);
}
