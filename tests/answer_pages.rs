//! The pages of comparisons, of what one more is worth and of repairs.
//!
//! Where the answers come from: the records that the YAML form writes, formatted by the test itself;
//! names that somebody hostile would choose. The browser's view is in `cross/answers.py`.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/hostile.rs"]
mod hostile;
#[path = "support/plans.rs"]
mod plans;

use bedweek::explain::{
    Comparison, Difference, GroundWeek, PARTS, Pays, Step, ThingWorth, Verdict, WorthOfMore,
    difference, figures,
};
use bedweek::plan::{Changed, Ending};
use bedweek::render;
use bedweek::repair::{
    self, AnswerLine, ChangedJob, CoverFiller, Filler, Job, LostFood, LostWeek, Replan,
};
use hostile::{HOSTILE, hostile};
use plans::{Made, made};

fn small() -> Made {
    made("small-plot", greedy::greedy)
}

/// A plan and the plan that grows nothing, side by side.
fn comparison(made: &Made, other: &Made, label: &str) -> Comparison {
    let known = |made: &Made| bedweek::explain::Known {
        worth: made.plan.result.worth,
        bound: made.plan.result.bound,
    };
    Comparison {
        currency: made.scenario.currency.clone(),
        weeks: made.scenario.weeks,
        tail: made.scenario.tail,
        parts: PARTS.iter().map(|part| part.name).collect(),
        sides: vec![
            figures(&made.scenario.name, &made.scenario, &made.plan),
            figures(label, &other.scenario, &other.plan),
        ],
        differences: vec![difference(label, known(made), known(other))],
        same_measure: true,
        to_be_decided: false,
    }
}

fn compared(c: &Comparison, one: &Made, other: &Made) -> String {
    let sides = [(&one.scenario, &one.plan), (&other.scenario, &other.plan)];
    render::comparison_page(c, &sides, &["side-1.html".into(), "side-2.html".into()])
}

/// The cells of the row of a table that has this name.
fn cells(page: &str, name: &str) -> Vec<String> {
    let row = (page.split("<tr>"))
        .find(|row| row.contains("<th scope=\"row\"") && row.contains(&format!(">{name}</th>")))
        .unwrap_or_else(|| panic!("no row {name}"));
    (row.split("<td").skip(1))
        .map(|cell| {
            let (_, text) = cell.split_once('>').expect("a cell");
            text.split_once("</td>").expect("closed").0.to_string()
        })
        .collect()
}

fn text_only(page: &str) {
    let lower = page.to_lowercase();
    assert_eq!(lower.matches("<script").count(), 1);
    assert_eq!(lower.matches("<style").count(), 1);
    assert!(!lower.contains("<img") && !lower.contains("onerror=alert(1)>"));
    for word in [
        "=\"NaN",
        "\"inf",
        "width=\"-",
        "height=\"-",
        "href=\"http",
        " src=\"",
    ] {
        assert!(!page.contains(word), "{word}");
    }
}

#[test]
fn a_comparison_shows_its_figures() {
    let (one, other) = (small(), made("small-plot", greedy::empty));
    let c = comparison(&one, &other, "nothing grown");
    let page = compared(&c, &one, &other);
    let of = |figure: fn(&bedweek::explain::Figures) -> String| -> Vec<String> {
        c.sides.iter().map(figure).collect()
    };
    assert_eq!(cells(&page, "worth"), of(|s| format!("{:.2}", s.worth)));
    assert_eq!(
        cells(&page, "no plan is worth more than"),
        of(|s| format!("{:.2}", s.bound))
    );
    assert_eq!(
        cells(&page, "weeks with a floor missed"),
        of(|s| s.weeks_short.to_string())
    );
    assert_eq!(
        cells(&page, "summer: wishes"),
        of(|s| match s.parts[2].wishes {
            Some(met) => format!("{:.0}", (100.0 * met + 1e-6).floor()),
            None => "-".into(),
        })
    );
    // Every food that somebody wishes for has its row, whether the sides differ in it or not.
    for food in &c.sides[0].foods {
        if food.year.wishes.is_some() {
            let row = cells(&page, &format!("{}, {} eaten", food.food, food.unit));
            assert_eq!(row.len(), 2);
        }
    }
    assert!(page.contains("href=\"side-2.html\""));
    assert_eq!(c.differences[0].verdict, Verdict::Worse);
    assert!(page.contains("is worse than"));
    text_only(&page);
}

#[test]
fn an_undecided_difference_is_said_and_drawn_so() {
    let (one, other) = (small(), small());
    let c = comparison(&one, &other, "the same again");
    assert_eq!(c.differences[0].verdict, Verdict::Undecided);
    let page = compared(&c, &one, &other);
    assert!(page.contains("is undecided"));
    // One in the key, one for the difference.
    assert_eq!(page.matches("<rect class=\"open\"").count(), 2);
}

#[test]
fn hostile_labels_of_a_comparison_stay_text() {
    let (one, other) = (hostile(greedy::greedy), hostile(greedy::empty));
    let c = comparison(&one, &other, &HOSTILE.concat());
    text_only(&compared(&c, &one, &other));
}

fn worth(name: &str) -> WorthOfMore {
    let step = |more, in_bound, found| Step {
        more,
        in_bound,
        solved: Some(Difference {
            variant: name.into(),
            found,
            in_bound,
            at_least: 0.0,
            at_most: 12.5,
            verdict: Verdict::Undecided,
        }),
        at_least: 0.25,
        at_most: 12.5,
    };
    WorthOfMore {
        scenario: name.into(),
        currency: name.into(),
        weeks: 78,
        worth: 100.0,
        bound: 110.0,
        things: vec![ThingWorth {
            thing: name.into(),
            one: "one".into(),
            yearly_cost: Some(4.0),
            steps: vec![step(1, 7.5, 6.25), step(2, 3.5, 3.25)],
            pays: vec![Some(Pays::PerhapsYes), Some(Pays::PerhapsNo)],
        }],
        ground: vec![
            GroundWeek {
                week: "2027-W10".parse().expect("a week"),
                open: Some(0.5),
                tunnel: None,
            },
            GroundWeek {
                week: "2027-W11".parse().expect("a week"),
                open: Some(1.25),
                tunnel: None,
            },
        ],
    }
}

#[test]
fn what_one_more_is_worth_shows_its_figures() {
    let page = render::worth_page(&worth("low tunnel"));
    assert_eq!(
        cells(&page, "low tunnel"),
        [
            "one", "+1", "7.50", "6.25", "0.25", "12.50", "5.00", "4.00", "perhaps"
        ]
    );
    assert!(page.contains("hardly"), "the second one");
    // A tunnel that is not there has no chart.
    assert!(!page.contains("in the tunnel"));
    assert!(page.contains("2027-W11, in the open: 1.25 "));
    text_only(&page);
    let text = render::worth_of_more(&worth("low tunnel"));
    assert!(text.contains("  Mar 2027  0.50  1.25\n"), "{text}");
}

#[test]
fn hostile_names_of_things_stay_text() {
    text_only(&render::worth_page(&worth(&HOSTILE.concat())));
}

fn replan(made: &Made, name: &str) -> Replan {
    let week = made.scenario.week(3);
    let answer = |answer: &str, worth| AnswerLine {
        answer: answer.into(),
        worth,
        changes_money: 1.5,
        bound: Some(worth + 1.0),
        gap: Some(0.0125),
        status: Some(Ending::WithinGap),
        needs_met: 0.875,
        weeks_short: 4,
        short_money: 2.0,
        changes: Changed {
            dropped: 1,
            moved: 2,
            added: 3,
        },
    };
    Replan {
        name: name.into(),
        currency: name.into(),
        from: made.scenario.start,
        events: vec![name.into()],
        records: 2,
        known: 0,
        answers: vec![
            answer("repaired", 90.0),
            answer("left as it is", 80.0),
            answer("freely redrawn", 95.0),
        ],
        lost: vec![LostFood {
            food: name.into(),
            unit: "kg".into(),
            lost: 4.0,
            lost_after_repair: 1.0,
            buy_money: 3.25,
            recovers: Some(week),
            weeks: vec![LostWeek {
                week,
                planned: 5.0,
                as_it_is: 1.0,
                repaired: 4.0,
            }],
            filled_by: vec![Filler {
                crop: name.into(),
                plantings: vec!["P900".into()],
                sown: made.scenario.start,
                from: week,
                amount: 3.0,
            }],
            filled_under: vec![CoverFiller {
                cover: name.into(),
                bed: name.into(),
                placed: week,
                crop: name.into(),
                plantings: vec!["P901".into()],
                more: 1.5,
                by: week,
            }],
        }],
        jobs: vec![ChangedJob {
            change: repair::Difference::Move,
            job: Job::Sow,
            week,
            what: name.into(),
            bed: name.into(),
            strips: Some(2),
            from_week: Some(made.scenario.start),
            from_bed: None,
        }],
        notes: vec![name.into()],
        learned: Vec::new(),
    }
}

fn repaired(replan: &Replan, before: &Made, after: &Made) -> String {
    render::repair_page(
        replan,
        (&before.scenario, &before.plan),
        (&after.scenario, &after.plan),
        true,
    )
}

#[test]
fn a_repair_shows_its_figures() {
    let made = small();
    let page = repaired(&replan(&made, "salad"), &made, &made);
    assert_eq!(cells(&page, "worth"), ["90.00", "80.00", "95.00"]);
    assert_eq!(cells(&page, "needs met, per cent"), ["87.5"; 3]);
    assert_eq!(cells(&page, "changed plantings"), ["6"; 3]);
    let salad = cells(&page, "salad");
    assert_eq!(salad[..4], ["4 kg in 1 week", "3 kg", "1 kg", "3.25"]);
    assert!(salad[5].contains("P900"));
    assert!(salad[5].contains("gives 1.5 kg more by"), "{}", salad[5]);
    assert!(page.contains("0 to drop, 1 to move, 0 to add, clearings left out."));
    assert!(page.contains("No bed&#39;s year has changed."));
    text_only(&page);
}

#[test]
fn beds_before_and_after_mark_what_differs() {
    let (before, after) = (small(), made("small-plot", greedy::empty));
    let page = repaired(&replan(&before, "salad"), &before, &after);
    // Nothing new is planted in the second plan: all new plantings of the first are gone.
    let new = |p: &&bedweek::plan::Planting| p.raising.is_some();
    let gone = before.plan.plantings.iter().filter(new).count();
    assert!(gone > 5);
    let drawn = page.matches("<rect class=\"gone\"").count() - 1;
    assert!(drawn >= gone, "{drawn} marks, {gone} plantings");
    assert_eq!(after.plan.plantings.iter().filter(new).count(), 0);
}

#[test]
fn hostile_names_of_a_repair_stay_text() {
    let (before, after) = (hostile(greedy::greedy), hostile(greedy::empty));
    let page = repaired(&replan(&before, &HOSTILE.concat()), &before, &after);
    text_only(&page);
}
