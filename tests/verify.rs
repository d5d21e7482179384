//! `verify`: good plans hold, and damage to what grows where and when is caught; damage to food,
//! work and money is in `verify_table.rs`.
//!
//! Where the answers come from: the damage is done here, so what is wrong is known.

#[path = "support/damage.rs"]
mod damage;
#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;

use bedweek::domain::{
    Directive, DirectiveKind, PastCrop, RotationRule, Scenario, Setting, Strips, WayKind,
};
use bedweek::plan::{Planting, YearPlan};
use bedweek::verify::{Check, verify};
use damage::{caught, first, full, sole};
use plans::{Made, made};

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
        let stands = |p: &Planting| {
            let crop = full().scenario.crops.iter().find(|c| c.name == p.crop);
            let way = crop.and_then(|c| c.ways.iter().find(|w| Some(&w.name) == p.way.as_ref()));
            way.is_some_and(|w| matches!(w.kind, WayKind::Standing { .. }))
        };
        let planting = first(p, |p| sole(p) && stands(p));
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
