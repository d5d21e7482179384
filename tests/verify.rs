//! `verify`: good plans hold, and every kind of damage is caught.
//!
//! Where the answers come from: the damage is done here, so what is wrong is known.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;

use bedweek::domain::{
    Directive, DirectiveKind, PastCrop, RotationRule, Scenario, Setting, Strips,
};
use bedweek::plan::{Ending, Planting, YearPlan};
use bedweek::verify::{Check, verify};
use plans::{Made, made};
use std::sync::OnceLock;

/// Nothing is wrong, or the test fails with all that is.
fn holds(made: &Made) {
    let violations = verify(&made.scenario, &made.plan);
    let text: Vec<String> = violations.iter().map(ToString::to_string).collect();
    assert!(
        violations.is_empty(),
        "{} violations:\n{}",
        text.len(),
        text.join("\n")
    );
}

/// The greedy plan of the full holding: everything occurs in it.
fn full() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(|| made("four-households", greedy::greedy))
}

/// After the damage, `verify` finds a violation of that check whose sentence holds the words.
fn caught(check: Check, words: &str, damage: impl FnOnce(&mut Scenario, &mut YearPlan)) {
    let (mut scenario, mut plan) = (full().scenario.clone(), full().plan.clone());
    damage(&mut scenario, &mut plan);
    assert!(
        scenario != full().scenario || plan != full().plan,
        "nothing was damaged"
    );
    let violations = verify(&scenario, &plan);
    let text: Vec<String> = violations.iter().map(ToString::to_string).collect();
    assert!(
        violations
            .iter()
            .any(|v| v.check == check && v.sentence.contains(words)),
        "no violation of {check:?} with {words:?} among {}:\n{}",
        text.len(),
        text.join("\n")
    );
}

fn first(plan: &mut YearPlan, which: impl Fn(&Planting) -> bool) -> &mut Planting {
    let found = plan.plantings.iter_mut().find(|p| which(p));
    found.expect("the full holding has such a planting")
}

/// Grown anew, alone, and harvested.
fn sole(p: &Planting) -> bool {
    p.standing.is_none() && p.partner.is_none() && !p.lots.is_empty()
}

#[test]
fn the_plan_that_grows_nothing_holds() {
    for file in [
        "small-plot",
        "plot-250",
        "bare-ground-spring",
        "four-households",
    ] {
        holds(&made(file, greedy::empty));
    }
}

#[test]
fn greedy_plans_hold() {
    for file in ["small-plot", "plot-250", "bare-ground-spring"] {
        let made = made(file, greedy::greedy);
        assert!(made.plan.plantings.len() > 10, "{file} grows something");
        holds(&made);
    }
    holds(full());
}

#[test]
fn unknown_names_and_impossible_numbers() {
    caught(Check::Names, "no crop", |_, p| {
        p.plantings[0].crop = "moon beam".into()
    });
    caught(Check::Names, "no bed", |_, p| {
        p.plantings[0].bed = "Z9".into()
    });
    caught(Check::Names, "strips 1 to", |_, p| {
        p.plantings[0].strips = vec![99]
    });
    caught(Check::Names, "strips 1 to", |_, p| {
        p.plantings[0].strips = vec![0]
    });
    caught(Check::Names, "named twice", |_, p| {
        let strip = p.plantings[0].strips[0];
        p.plantings[0].strips.push(strip);
    });
    caught(Check::Names, "no strips", |_, p| {
        p.plantings[0].strips.clear()
    });
    caught(Check::Names, "two plantings called", |_, p| {
        p.plantings[1].id = p.plantings[0].id.clone();
    });
    caught(Check::Names, "has no way", |_, p| {
        first(p, sole).way = Some("by the handful".into());
    });
    caught(Check::Names, "has no raising", |_, p| {
        first(p, sole).raising = Some("by wish".into());
    });
    caught(Check::Names, "not both", |_, p| {
        first(p, sole).raising = None
    });
    caught(Check::Names, "outside the plan", |_, p| {
        let planting = first(p, sole);
        planting.cleared = planting.cleared.plus(200);
    });
    caught(Check::Names, "before it is planted", |_, p| {
        let planting = first(p, sole);
        planting.cleared = planting.planted;
    });
    caught(Check::Names, "the plan is for", |_, p| p.scenario.tail += 1);
    caught(Check::Names, "counts in", |_, p| {
        p.scenario.currency = "shells".into()
    });
    caught(Check::Names, "the plan supplies", |_, p| {
        p.supply.pop();
    });
    caught(Check::Names, "no such crop", |_, p| {
        p.draws[0].crop = "moon beam".into()
    });
    caught(Check::Names, "not of this scenario", |_, p| {
        p.covers[0].bed = "Z9".into()
    });
}

#[test]
fn two_plantings_on_a_strip() {
    caught(Check::Ground, "holds both", |_, plan| {
        let pair = pairs(plan).find(|(a, b)| {
            a.bed == b.bed
                && a.partner.is_none()
                && a.strips != b.strips
                && a.planted < b.cleared
                && b.planted < a.cleared
        });
        let (a, b) = pair
            .map(|(a, b)| (a.id.clone(), b.strips.clone()))
            .expect("neighbours");
        first(plan, |p| p.id == a).strips = b;
    });
}

fn pairs(plan: &YearPlan) -> impl Iterator<Item = (&Planting, &Planting)> {
    let all = &plan.plantings;
    all.iter()
        .flat_map(move |a| all.iter().map(move |b| (a, b)))
}

#[test]
fn what_stands_is_treated_once() {
    caught(Check::Standing, "treats it 0 times", |_, plan| {
        let at = plan
            .plantings
            .iter()
            .position(|p| p.standing.is_some() && p.partner.is_none());
        plan.plantings.remove(at.expect("something stands"));
    });
    caught(Check::Standing, "is not what stands there", |_, plan| {
        let planting = first(plan, |p| p.standing.is_some());
        planting.sown = planting.sown.plus(-2);
    });
    // The plan that clears everything, where the grower wants to keep it.
    let mut made = made("small-plot", greedy::empty);
    for standing in &mut made.scenario.standing {
        standing.keep = true;
    }
    let violations = verify(&made.scenario, &made.plan);
    assert!(
        violations
            .iter()
            .any(|v| v.sentence.contains("is to be kept")),
        "{violations:?}"
    );
}

#[test]
fn recipes_are_followed() {
    caught(Check::Recipes, "has shares", |_, p| {
        first(p, sole).yield_share = 1.2
    });
    caught(Check::Recipes, "needs a partner", |_, p| {
        first(p, |p| p.recipe.is_some()).partner = None;
    });
    caught(Check::Recipes, "there is no recipe", |_, p| {
        first(p, |p| p.recipe.is_some()).recipe = Some("moon among beams".into());
    });
    caught(Check::Recipes, "shares the ground", |scenario, _| {
        for recipe in &mut scenario.recipes {
            recipe.max_overlap_weeks = 0;
            recipe.min_overlap_weeks = 0;
        }
    });
}

#[test]
fn never_and_settings() {
    let crop = |s: &Scenario| {
        let name = &full()
            .plan
            .plantings
            .iter()
            .find(|p| sole(p))
            .expect("grown")
            .crop;
        s.crops.iter().position(|c| c.name == *name).expect("known")
    };
    caught(Check::Directives, "is never to be there", |s, _| {
        s.directives.push(Directive {
            crop: crop(s),
            bed: None,
            kind: DirectiveKind::Never,
        });
    });
    caught(Check::Directives, "does not grow in such a bed", |s, p| {
        let planting = p.plantings.iter().find(|p| sole(p)).expect("grown");
        let bed = s
            .beds
            .iter()
            .position(|b| b.name == planting.bed)
            .expect("known");
        let other = match s.beds[bed].setting {
            Setting::Open => Setting::Basket,
            _ => Setting::Open,
        };
        let crop = crop(s);
        s.crops[crop].settings = vec![other];
    });
}

/// The bed and family of the first new planting whose family's break is forbidden to be cut.
fn bed_and_family(scenario: &Scenario, plan: &YearPlan) -> (usize, usize) {
    plan.plantings
        .iter()
        .filter(|p| sole(p))
        .find_map(|p| {
            let bed = scenario.beds.iter().position(|b| b.name == p.bed)?;
            let crop = scenario.crops.iter().find(|c| c.name == p.crop)?;
            let family = &scenario.families[crop.family];
            let forbidden = family.rule_in(bed) == RotationRule::Forbid;
            let free = !scenario.standing.iter().any(|s| s.bed == bed);
            let soon = p.planted.since(scenario.start) + 2 < family.break_weeks as i32;
            (forbidden && free && soon).then_some((bed, crop.family))
        })
        .expect("some family is held to its break")
}

fn grew_there_just_before(scenario: &mut Scenario, bed: usize, family: usize) {
    let past = PastCrop {
        family,
        cleared: scenario.start.plus(-1),
        strips: Strips {
            first: 0,
            count: scenario.beds[bed].strips,
        },
    };
    scenario.beds[bed].history.push(past);
}

#[test]
fn breaks_are_held_or_priced() {
    caught(Check::Rotation, "its break lasts until", |s, p| {
        let (bed, family) = bed_and_family(s, p);
        grew_there_just_before(s, bed, family);
    });
    caught(Check::Ledger, "breaks cut short", |s, p| {
        let (bed, family) = bed_and_family(s, p);
        grew_there_just_before(s, bed, family);
        s.families[family].rule = RotationRule::Discourage {
            money_per_m2_week: 1.0,
        };
        s.families[family].exceptions.clear();
    });
}

#[test]
fn covers_are_to_hand_fit_and_lie_in_their_spells() {
    let used = |s: &mut Scenario, p: &YearPlan| {
        let name = &p
            .covers
            .iter()
            .find(|c| !c.before)
            .expect("covers are used")
            .cover;
        s.covers
            .iter()
            .position(|c| c.name == *name)
            .expect("known")
    };
    caught(Check::Covers, "are to hand", |s, p| {
        let cover = used(s, p);
        s.covers[cover].count = 0;
    });
    caught(Check::Covers, "does not fit", |s, p| {
        let cover = used(s, p);
        s.covers[cover].max_length_m = 0.1;
    });
    caught(Check::Covers, "must be off", |s, p| {
        let cover = used(s, p);
        s.covers[cover].spells.clear();
    });
    caught(Check::Covers, "is said to be under", |_, p| {
        let at = p.covers.iter().position(|c| !c.before && !c.stays);
        p.covers.remove(at.expect("covers come and go"));
    });
    caught(Check::Covers, "has both", |_, p| {
        let again = p.covers[0].clone();
        p.covers.push(again);
    });
    caught(Check::Covers, "wrongly said", |_, p| {
        p.covers[0].before = !p.covers[0].before
    });
}

#[test]
fn the_shelf_has_room() {
    caught(Check::Shelf, "there are", |s, _| {
        s.shelf.lit_m2 = 0.0;
        s.shelf.unlit_m2 = 0.0;
    });
    caught(Check::Shelf, "the plan says", |_, p| {
        p.shelf[0].lit_m2 += 0.1
    });
    caught(Check::Shelf, "takes", |_, p| {
        let planting = first(p, |p| p.shelf.is_some());
        planting.shelf.as_mut().expect("on the shelf").m2 *= 0.5;
    });
    caught(Check::Shelf, "wrongly said", |_, p| {
        first(p, |p| p.shelf.is_some()).shelf = None;
    });
}

#[test]
fn dates_and_yields_follow_growth() {
    caught(Check::Growth, "outside its sowing weeks", |s, _| {
        let never = bedweek::units::WeekOfYear::new(53).expect("a week");
        for raising in s.crops.iter_mut().flat_map(|c| &mut c.raisings) {
            (raising.sow_from, raising.sow_to) = (never, never);
        }
    });
    caught(Check::Growth, "killed by frost", |s, _| {
        for crop in &mut s.crops {
            crop.killed_below_c = 5.0;
        }
    });
    caught(Check::Growth, "fit to plant out", |s, _| {
        for raising in s.crops.iter_mut().flat_map(|c| &mut c.raisings) {
            raising.ready_units *= 3.0;
        }
    });
    let double = |_: &mut Scenario, p: &mut YearPlan| {
        for planting in p.plantings.iter_mut().filter(|p| sole(p)) {
            planting.lots[0].amount *= 2.0;
        }
    };
    caught(Check::Growth, "is picked in", double);
    caught(Check::Growth, "growth allows", double);
    caught(Check::Growth, "it is ready from", |_, p| {
        let planting = first(p, |p| sole(p) && p.lots[0].from < p.lots[0].fresh_until);
        planting.lots[0].from = planting.lots[0].from.plus(-3);
        planting.first_harvest = Some(planting.lots[0].from);
    });
    caught(Check::Growth, "it keeps", |_, p| {
        let end = p
            .scenario
            .start
            .plus((p.scenario.weeks + p.scenario.tail) as i32 - 1);
        let planting = first(p, |p| sole(p) && p.lots[0].until.plus(60) < end.plus(60));
        planting.lots[0].until = end;
    });
    caught(Check::Growth, "first and last harvest", |_, p| {
        let planting = first(p, sole);
        planting.first_harvest = planting.first_harvest.map(|w| w.plus(1));
    });
    caught(Check::Growth, "harvest adds up", |_, p| {
        let planting = first(p, |p| !p.harvest.is_empty());
        for amount in planting.harvest.values_mut() {
            *amount *= 3.0;
        }
    });
}

#[test]
fn no_more_is_eaten_than_is_there() {
    caught(Check::Draws, "the plantings give", |_, p| {
        p.draws[0].amount *= 1.01
    });
    caught(Check::Draws, "uses up", |_, p| {
        for units in p.draws.iter_mut().flat_map(|d| d.eaten.values_mut()) {
            *units *= 5.0;
        }
    });
    caught(Check::Draws, "is drawn on twice", |_, p| {
        let again = p.draws[0].clone();
        p.draws.push(again);
    });
    caught(Check::Draws, "gives", |_, p| {
        let late = p.draws[0].until.plus(1);
        p.draws[0].eaten.insert(late, 0.1);
    });
    caught(Check::Draws, "gives NaN", |_, p| {
        let week = p.draws[0].from;
        p.draws[0].eaten.insert(week, f64::NAN);
    });
    // What is kept in store loses weight: without that loss in the plan, too much is eaten.
    caught(Check::Draws, "with losses", |s, _| {
        for way in s.crops.iter_mut().flat_map(|c| &mut c.ways) {
            way.weekly_loss = 0.5;
        }
    });
}

#[test]
fn supply_adds_up() {
    type Field = fn(&mut bedweek::plan::SupplyWeek) -> &mut f64;
    let fields: [(&str, Field); 7] = [
        ("the floor", |w| &mut w.floor),
        ("the wish", |w| &mut w.wish),
        ("fresh", |w| &mut w.fresh),
        ("from store", |w| &mut w.stored),
        ("eaten", |w| &mut w.eaten),
        ("short", |w| &mut w.short),
        ("left", |w| &mut w.left),
    ];
    for (words, field) in fields {
        caught(Check::Supply, words, |_, p| {
            *field(&mut p.supply[0].weeks[3]) += 0.01
        });
    }
    caught(Check::Supply, "stands in the place", |_, p| {
        p.supply[0].weeks.swap(0, 1)
    });
    caught(Check::Supply, "weeks in", |_, p| {
        p.supply[0].weeks.pop();
    });
    caught(Check::Supply, "the wish is", |s, _| {
        for food in &mut s.foods {
            food.wish.iter_mut().for_each(|w| *w *= 0.1);
            food.floor.iter_mut().for_each(|w| *w *= 0.1);
        }
    });
    caught(Check::Supply, "one crop may supply", |s, _| {
        for food in &mut s.foods {
            food.single_crop_share = 0.01;
        }
    });
    caught(Check::Supply, "the band ends at", |s, _| {
        let level = s.level.as_mut().expect("the full holding has a band");
        level.high_money.iter_mut().for_each(|m| *m = 1.0);
    });
    caught(Check::Supply, "the plan lists", |_, p| {
        p.shortfalls.pop();
    });
    caught(Check::Supply, "the store of", |_, p| {
        let weeks = &mut p.stores[0].weeks;
        *weeks.values_mut().next().expect("something is stored") += 0.5;
    });
}

#[test]
fn work_is_counted_and_limited() {
    caught(Check::Work, "are to hand", |s, _| {
        s.work.hours_per_week = Some(0.1)
    });
    caught(Check::Work, "the work of", |_, p| p.work[5].ground += 1.0);
    caught(Check::Work, "the work of", |_, p| {
        p.work.pop();
    });
}

#[test]
fn the_buying_list_is_complete() {
    caught(Check::Buying, "is off by", |_, p| {
        p.buying.pop();
    });
    caught(Check::Buying, "needs", |_, p| first(p, sole).seeds = None);
}

#[test]
fn the_ledger_is_reckoned_again() {
    for line in 0..full().plan.ledger.len() {
        let name = full().plan.ledger[line].rule.name();
        caught(Check::Ledger, name, |_, p| p.ledger[line].money += 0.01);
    }
    caught(Check::Ledger, "the amount of", |_, p| {
        p.ledger[0].amount += 0.01
    });
    caught(Check::Ledger, "the plan is worth", |_, p| {
        p.result.worth += 1.0
    });
    caught(Check::Ledger, "always missed", |s, _| {
        s.directives.push(Directive {
            crop: 0,
            bed: Some(0),
            kind: DirectiveKind::Always {
                strips: 1,
                from: s.start.plus(-9),
                to: s.start.plus(-5),
                missing_money: 10.0,
            },
        });
    });
}

#[test]
fn bound_gap_and_status_are_true() {
    caught(Check::Result, "adds up to", |_, p| p.result.worth += 1.0);
    caught(Check::Result, "more than the bound", |_, p| {
        p.result.bound = p.result.worth - 1.0;
    });
    caught(Check::Result, "the gap is", |_, p| p.result.gap *= 0.5);
    caught(Check::Result, "apart", |_, p| p.result.gap_money += 1.0);
    caught(Check::Result, "does not end as it says", |_, p| {
        p.result.status = Ending::Optimal;
    });
    caught(Check::Result, "does not end as it says", |_, p| {
        p.result.status = Ending::WithinGap;
        p.options.gap = 1e-5;
    });
}
