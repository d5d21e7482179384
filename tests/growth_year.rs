//! The year at a mild station (Oxford normals, 51.8 N) against what growers know: common practice
//! without a published source unless a test names one; and the shipped crops through that year.

#[path = "support/holding.rs"]
mod holding;
#[path = "support/plantings.rs"]
mod plantings;

use bedweek::climate::{Place, Sky, weather_at};
use bedweek::domain::*;
use bedweek::growth::{Beginning, Course, Ending, Failure, Grower, response};
use bedweek::units::{Week, WeeksOfYear};
use holding::*;
use plantings::*;

/// Growth units of the plain leafy crop on a day of the month's middle.
fn daily_units(scenario: &Scenario, month: u32, place: Place) -> f64 {
    let sky = Sky::of(&scenario.climate);
    let date = chrono::NaiveDate::from_ymd_opt(2027, month, 15).unwrap();
    let thermal = leaves("leaves").thermal;
    response::growth_units(&thermal, &weather_at(scenario, &sky, date, place))
}

#[test]
fn short_days_nearly_stop_growth_without_a_switch() {
    // Growers (ourstoneyacres.com, starlightgardensct.com): below ten hours almost, not quite,
    // zero; Hobby Farms 2019: some growth if above about 5 degrees. Growers' experience, soft.
    let scenario = holding(Vec::new());
    let by_month: Vec<f64> = (1..=12)
        .map(|month| daily_units(&scenario, month, OPEN))
        .collect();
    let best = by_month.iter().copied().fold(0.0, f64::max);
    for winter in [11, 0] {
        let share = by_month[winter] / best;
        assert!(
            (0.02..0.12).contains(&share),
            "month {}: {share:.3}",
            winter + 1
        );
    }
    // No switch: neither in autumn nor in spring does growth change more than threefold a month.
    for month in 0..12 {
        let ratio = by_month[(month + 1) % 12] / by_month[month];
        assert!(
            (0.3..3.0).contains(&ratio),
            "after month {}: {ratio:.2}",
            month + 1
        );
    }
}

#[test]
fn a_midwinter_cover_about_triples_growth() {
    // Common practice, no source: under a cover in midwinter growth is about three times that of
    // the open bed.
    let scenario = holding(Vec::new());
    for month in [12, 1, 2] {
        let ratio = daily_units(&scenario, month, FRAME) / daily_units(&scenario, month, OPEN);
        assert!((2.2..=3.8).contains(&ratio), "month {month}: {ratio:.2}");
    }
    // In summer covers only shade.
    assert!(daily_units(&scenario, 7, FRAME_IN_TUNNEL) < daily_units(&scenario, 7, OPEN));
}

#[test]
fn radish_takes_four_to_six_weeks_in_spring() {
    // Common practice, no source; 25-50 days from sowing (Encyclopaedia Britannica, market maturity).
    let scenario = holding(vec![radish()]);
    let grower = Grower::new(&scenario);
    for sown in 15..=20 {
        let sown = week(2027, sown);
        let weeks = course_at(&grower, &direct(0, sown), OPEN)
            .unwrap()
            .first
            .since(sown);
        assert!((4..=6).contains(&weeks), "sown {sown}: {weeks} weeks");
    }
}

#[test]
fn lettuce_planted_in_april_is_ready_from_late_may_to_mid_june() {
    // Common practice, no source.
    let scenario = holding(vec![lettuce()]);
    let grower = Grower::new(&scenario);
    for sown in 9..=13 {
        let course = from_modules(&grower, true, week(2027, sown), OPEN).unwrap();
        let first = course.first;
        assert!(
            week(2027, 20) <= first && first <= week(2027, 25),
            "sown W{sown}: ready {first}"
        );
    }
}

#[test]
fn january_lettuce_needs_lamps() {
    // Common practice, no source: lettuce for early spring is sown at the beginning of January with
    // lights; without lights that is too early.
    let scenario = holding(vec![lettuce()]);
    let grower = Grower::new(&scenario);
    let sown = week(2027, 1);
    let lit = from_modules(&grower, true, sown, TUNNEL).unwrap();
    assert!(lit.first <= week(2027, 19), "ready {}", lit.first);
    let (fit, latest) = grower.shelf_weeks(0, 0, true, sown).unwrap();
    assert!(fit.since(sown) <= 7 && latest.since(sown) == 8);
    // In daylight only they would be planted weeks later, if at all.
    match grower.shelf_weeks(0, 0, false, sown) {
        Ok((fit_unlit, _)) => assert!(fit_unlit.since(fit) >= 3, "fit {fit}, unlit {fit_unlit}"),
        Err(failure) => assert_eq!(failure, Failure::TooSlowOnShelf { given_up: latest }),
    }
}

#[test]
fn spinach_bolts_when_sown_in_summer_and_winters_when_sown_in_september() {
    // Common practice, no source: sown in August it bolts in autumn, sown in early September it
    // crops before and after winter.
    let scenario = holding(vec![spinach()]);
    let grower = Grower::new(&scenario);
    let summer = course_at(&grower, &direct(0, week(2027, 29)), OPEN);
    let bolted = match &summer {
        Ok(course) => course.ending == Ending::Bolts && course.last < week(2027, 40),
        Err(failure) => matches!(failure, Failure::Bolts { .. }),
    };
    assert!(bolted, "{summer:?}");
    let course = course_at(&grower, &direct(0, week(2027, 36)), OPEN).unwrap();
    let before: f64 = share_between(&course, week(2027, 36), week(2027, 50));
    let after: f64 = share_between(&course, week(2028, 5), week(2028, 20));
    assert!(
        before > 0.1 && after > 0.1,
        "before {before:.2}, after {after:.2}: {course:?}"
    );
}

fn share_between(course: &Course, from: Week, to: Week) -> f64 {
    let sum = |within: &dyn Fn(Week) -> bool| -> f64 {
        let entries = course.harvest.iter().filter(|(week, _)| within(*week));
        entries.map(|(_, amount)| amount).sum()
    };
    sum(&|week| from <= week && week <= to) / sum(&|_| true)
}

#[test]
fn hardy_leaves_live_through_winter_in_the_open_and_barely_grow() {
    // Common practice, no source: winter chard in the open survives and barely grows.
    let mut hardy = leaves("hardy leaves");
    hardy.ways[0].kind = WayKind::Picking { span: 200.0 };
    let scenario = holding(vec![hardy]);
    let grower = Grower::new(&scenario);
    let course = course_at(&grower, &direct(0, week(2027, 30)), OPEN).unwrap();
    let winter = share_between(&course, week(2027, 49), week(2028, 4));
    let autumn = share_between(&course, week(2027, 36), week(2027, 43));
    assert!(course.last >= week(2028, 9), "{course:?}");
    assert!(
        winter > 0.0 && winter < autumn / 3.0,
        "winter {winter:.3}, autumn {autumn:.3}"
    );
}

#[test]
fn july_potatoes_are_lifted_through_winter_from_the_tunnel() {
    // Common practice, no source: potatoes planted in July give salad potatoes from December to April;
    // tops die with the frost, tubers keep in the ground.
    let scenario = holding(vec![potato(-0.5)]);
    let grower = Grower::new(&scenario);
    let course = course_at(&grower, &direct(0, week(2027, 28)), TUNNEL).unwrap();
    assert!(course.first < week(2027, 49), "{course:?}");
    assert_eq!(course.last, course.first.plus(15));
    assert_eq!(course.ending, Ending::PastUse);
    assert_eq!(course.harvest, vec![(course.first, 2.0)]);
    // Planted in September the tops die before anything is ready.
    let late = course_at(&grower, &direct(0, week(2027, 37)), TUNNEL);
    assert!(matches!(late, Err(Failure::Frost { .. })), "{late:?}");
}

#[test]
fn october_carrots_come_up_and_grow_on_in_spring() {
    // Common practice, no source: carrots sown in early to mid October germinate and stand, grow
    // on from mid February and are less likely to bolt than those sown somewhat earlier.
    let carrot = Crop {
        thermal: thermal(3.0, 18.0, 33.0, 4.0, 2.1, 132.0),
        ways: vec![way(WayKind::Standing { weeks: 10 }, 60.0, 4.0)],
        killed_below_c: -10.0,
        bolting: Some(Bolting {
            juvenile_units: 25.0,
            cold_weeks: 8.0,
            cold_c: 10.0,
            day_length_h: 14.0,
            long_day_units: 0.0,
        }),
        ..leaves("carrot")
    };
    let scenario = holding(vec![carrot]);
    let grower = Grower::new(&scenario);
    let october = course_at(&grower, &direct(0, week(2027, 41)), TUNNEL).unwrap();
    assert!(october.emerged.unwrap() <= week(2027, 46));
    assert!(
        (16..=24).contains(&october.first.of_year().number()),
        "{october:?}"
    );
    assert_ne!(october.ending, Ending::Bolts, "{october:?}");
    // Sown somewhat earlier they are large enough by winter to feel its cold.
    for place in [OPEN, TUNNEL] {
        let august = course_at(&grower, &direct(0, week(2027, 35)), place).unwrap();
        assert_eq!(august.ending, Ending::Bolts, "{august:?}");
    }
}

#[test]
fn every_shipped_raising_and_way_succeeds_somewhere() {
    // A crop of the full-size holding that could never be harvested would be a fault of its
    // figures or of this model.
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/four-households.yaml");
    let mut scenario = bedweek::input::load(&path).unwrap().scenario;
    // Also in the weeks of the models that this holding leaves out.
    for raising in scenario.crops.iter_mut().flat_map(|c| &mut c.raisings) {
        raising.sow_only = WeeksOfYear::ALL;
    }
    let grower = Grower::new(&scenario);
    let until = scenario.start.plus(52 + 78);
    for (id, crop) in scenario.crops.iter().enumerate() {
        let outdoors = crop.settings.iter().any(|s| *s != Setting::Tunnel);
        let places: Vec<Place> = [false, true]
            .into_iter()
            .filter(|inside| *inside || outdoors)
            .flat_map(|inside| {
                let covers = (0..scenario.covers.len()).map(Some);
                std::iter::once(None)
                    .chain(covers)
                    .map(move |cover| (inside, cover))
            })
            .map(|(inside, cover)| Place {
                inside,
                cover,
                exposure: scenario.beds[0].exposure,
            })
            .collect();
        let succeeds = |raising: usize, way: Option<usize>| {
            (0..52).any(|k| {
                let sown = scenario.start.plus(k);
                let planted = match crop.raisings[raising].method {
                    Method::Modules => match grower.shelf_weeks(id, raising, true, sown) {
                        Ok((fit, _)) => fit,
                        Err(_) => return false,
                    },
                    _ => sown,
                };
                let beginning = Beginning {
                    crop: id,
                    raising: Some(raising),
                    lit: true,
                    sown,
                    planted,
                    ready_by: None,
                };
                places.iter().any(|place| match way {
                    Some(way) => grower.course(&beginning, way, &|_| *place, until).is_ok(),
                    None => grower.stand(&beginning, &|_| *place, until).is_ok(),
                })
            })
        };
        for raising in 0..crop.raisings.len() {
            let found = succeeds(raising, None)
                && (crop.ways.is_empty()
                    || (0..crop.ways.len()).any(|way| succeeds(raising, Some(way))));
            assert!(found, "{}: raising {raising} never succeeds", crop.name);
        }
        for way in 0..crop.ways.len() {
            let found = (0..crop.raisings.len()).any(|raising| succeeds(raising, Some(way)));
            assert!(
                found,
                "{}: {} is never ready",
                crop.name, crop.ways[way].name
            );
        }
    }
}
