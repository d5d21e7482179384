//! Facts of the trade, held against the shipped models at mild maritime stations near 51 to 53
//! degrees north: common practice, no source, each with the tolerance that its wording allows.
//! What a place, a cover or a crop is made of has its source in `models/`.

#[path = "support/garden.rs"]
mod garden;

use bedweek::climate::{Place, Sky, Weather, date_of_index, weather_at};
use bedweek::domain::*;
use bedweek::growth::{Beginning, Course, Ending, Failure, Grower, response};
use bedweek::units::Week;
use garden::*;
use std::collections::BTreeSet;

/// Leaves that are cut through the winter.
const WINTER_LEAVES: [&str; 7] = [
    "winter lettuce",
    "winter spinach",
    "chard",
    "mizuna",
    "mustard greens",
    "tatsoi",
    "rocket",
];

/// Growth units from one day of the year to another (indices into the year's table).
fn units_between(scenario: &Scenario, crop: &str, place: Place, from: usize, to: usize) -> f64 {
    let sky = Sky::of(&scenario.climate);
    let thermal = &scenario.crops[garden::crop(scenario, crop)].thermal;
    (from..to)
        .map(|index| weather_at(scenario, &sky, date_of_index(index), place))
        .map(|weather| response::growth_units(thermal, &weather))
        .sum()
}

#[test]
fn growth_roughly_doubles_per_ten_degrees() {
    // On days as they come, the night some nine degrees below the day; over the range in which the
    // crop grows well, from a cool spring day to a warm summer day.
    let scenario = garden(MILD[0]);
    let day = |mean_c: f64| Weather {
        tmax_c: mean_c + 4.5,
        tmin_c: mean_c - 4.5,
        coldest_c: mean_c - 8.0,
        daylight_h: 14.0,
        light_mj: 15.0,
    };
    let mut ratios = Vec::new();
    for crop in scenario
        .crops
        .iter()
        .filter(|c| c.thermal.optimum_c <= 20.0)
    {
        let units = |mean_c| response::growth_units(&crop.thermal, &day(mean_c));
        let ratio = units(18.0) / units(8.0);
        assert!((1.4..=3.0).contains(&ratio), "{}: {ratio:.2}", crop.name);
        ratios.push(ratio);
    }
    ratios.sort_by(f64::total_cmp);
    let median = ratios[ratios.len() / 2];
    assert!((1.7..=2.5).contains(&median), "median {median:.2}");
}

#[test]
fn a_midwinter_frame_makes_about_three_times_the_growth_of_the_open_bed() {
    for station in MILD {
        let scenario = garden(station);
        let frame = beneath(&scenario, "cold-frame top");
        let low = beneath(&scenario, "low tunnel");
        let fleece = beneath(&scenario, "fleece");
        let in_tunnel = Place {
            inside: true,
            ..fleece
        };
        for crop in WINTER_LEAVES {
            // December and January.
            let sum = |place| {
                units_between(&scenario, crop, place, 335, 366)
                    + units_between(&scenario, crop, place, 0, 31)
            };
            let open = sum(OPEN);
            let ratio = |place| sum(place) / open;
            let under = ratio(frame);
            assert!(
                (2.3..=3.7).contains(&under),
                "{station}, {crop}: {under:.2}"
            );
            // Larger or leakier covers do less, fleece least; a cover in the tunnel adds to it.
            let (tunnel, low) = (ratio(TUNNEL), ratio(low));
            assert!((1.7..under).contains(&tunnel), "{crop}: {tunnel:.2}");
            assert!((1.6..under).contains(&low), "{crop}: {low:.2}");
            let fleece = ratio(fleece);
            assert!((1.1..low).contains(&fleece), "{crop}: {fleece:.2}");
            assert!(ratio(in_tunnel) > tunnel, "{crop}: {:.2}", ratio(in_tunnel));
        }
    }
}

#[test]
fn growth_nearly_stops_below_ten_hours_without_a_switch() {
    for station in MILD {
        let scenario = garden(station);
        let sky = Sky::of(&scenario.climate);
        for name in WINTER_LEAVES {
            let thermal = &scenario.crops[garden::crop(&scenario, name)].thermal;
            let day = |index: usize| sky.day(date_of_index(index % 366));
            let units = |index: usize| response::growth_units(thermal, &day(index));
            let best = (0..366).map(units).fold(0.0, f64::max);
            let short: Vec<usize> = (0..366).filter(|i| day(*i).daylight_h < 10.0).collect();
            assert!((105..=140).contains(&short.len()));
            let mean = short.iter().map(|i| units(*i)).sum::<f64>() / short.len() as f64;
            assert!(
                (0.03..0.2).contains(&(mean / best)),
                "{station}, {name}: {:.3} of the best",
                mean / best
            );
            // No switch: from week to week growth changes by less than a third.
            for index in 0..366 {
                let change = units(index + 7) / units(index);
                assert!(
                    (0.66..1.5).contains(&change),
                    "{name}, day {index}: {change:.2}"
                );
            }
            // Warmth and light act together: neither alone makes midwinter grow well.
            let (june, december) = (day(170), day(355));
            let warm = Weather {
                light_mj: december.light_mj,
                ..june
            };
            let bright = Weather {
                light_mj: june.light_mj,
                ..december
            };
            for lone in [warm, bright] {
                let share = response::growth_units(thermal, &lone) / best;
                assert!((0.03..0.6).contains(&share), "{name}: {share:.2}");
            }
        }
    }
}

#[test]
fn open_chard_winters_and_barely_grows_and_a_framed_bed_feeds_in_autumn() {
    for station in MILD {
        let scenario = garden(station);
        let grower = Grower::new(&scenario);
        let at = |place| course(&grower, &scenario, "chard", "leaves", week(2027, 27), place);
        let open = at(OPEN).unwrap();
        assert!(open.last >= week(2028, 12), "{station}: {open:?}");
        // A full bed of 4.8 m².
        let weekly_l = |course: &Course, from, to: Week| {
            4.8 * taken_between(course, from, to) / f64::from(to.since(from) + 1)
        };
        let winter_l = weekly_l(&open, week(2027, 49), week(2028, 6));
        assert!(
            (0.01..1.5).contains(&winter_l),
            "{station}: {winter_l:.1} l"
        );
        // Framed from the second week of October: 4 to 5 l a week in mid autumn.
        let frame = beneath(&scenario, "cold-frame top");
        let id = garden::crop(&scenario, "chard");
        let beginning = begin(&grower, &scenario, id, Method::Modules, week(2027, 27)).unwrap();
        let place = |w: Week| if w < week(2027, 41) { OPEN } else { frame };
        let framed = grower
            .course(&beginning, 0, &place, week(2028, 30))
            .unwrap();
        let autumn_l = weekly_l(&framed, week(2027, 43), week(2027, 46));
        assert!(
            (3.5..=6.0).contains(&autumn_l),
            "{station}: {autumn_l:.1} l"
        );
    }
}

#[test]
fn august_spinach_bolts_in_autumn_and_september_spinach_winters() {
    // The last days of August are the border between both; books differ too (docs/agreement.md).
    for station in MILD {
        let mut scenario = garden(station);
        let id = garden::crop(&scenario, "winter spinach");
        // From the beginning of August.
        scenario.crops[id].raisings[0].sow_from = week(2027, 31).of_year();
        let grower = Grower::new(&scenario);
        let sown = |number, place| {
            let sown = week(2027, number);
            course(&grower, &scenario, "winter spinach", "leaves", sown, place)
        };
        for number in 31..=33 {
            let august = sown(number, OPEN);
            let bolted = match &august {
                Ok(course) => course.ending == Ending::Bolts && course.last < week(2027, 47),
                Err(failure) => matches!(failure, Failure::Bolts { .. }),
            };
            assert!(bolted, "{station}, W{number}: {august:?}");
        }
        for place in [OPEN, TUNNEL, beneath(&scenario, "cold-frame top")] {
            let september = sown(36, place).unwrap();
            let before = share_between(&september, week(2027, 36), week(2027, 50));
            let after = share_between(&september, week(2028, 5), week(2028, 20));
            assert!(
                before > 0.1 && after > 0.1,
                "{station}: before {before:.2}, after {after:.2}"
            );
        }
    }
}

#[test]
fn october_carrots_stand_small_and_grow_on_from_mid_february() {
    for station in MILD {
        let mut scenario = garden(station);
        let id = garden::crop(&scenario, "overwintered carrots");
        // Earlier than anyone would sow them.
        scenario.crops[id].raisings[0].sow_from = week(2027, 33).of_year();
        let grower = Grower::new(&scenario);
        let sown = |number| {
            let sown = week(2027, number);
            course(
                &grower,
                &scenario,
                "overwintered carrots",
                "roots",
                sown,
                TUNNEL,
            )
        };
        for number in 40..=42 {
            let carrots = sown(number).unwrap();
            assert!(carrots.emerged.unwrap() <= week(2027, 46), "{carrots:?}");
            assert!(
                (week(2028, 16)..=week(2028, 24)).contains(&carrots.first),
                "{station}, W{number}: {carrots:?}"
            );
            assert_ne!(carrots.ending, Ending::Bolts, "{station}, W{number}");
        }
        // They stand: a quarter of a mid-spring day's growth at most in midwinter, and from mid
        // February on it is twice that of midwinter.
        let mean = |from, to| {
            units_between(&scenario, "overwintered carrots", TUNNEL, from, to) / (to - from) as f64
        };
        let (midwinter, late, april) = (mean(0, 21), mean(50, 70), mean(100, 120));
        assert!(
            midwinter < april / 4.0,
            "{station}: {midwinter:.2}, {april:.2}"
        );
        assert!(
            late > 2.0 * midwinter,
            "{station}: {midwinter:.2}, {late:.2}"
        );
        // Sown somewhat earlier they run to seed.
        for number in [34, 35] {
            let early = sown(number);
            let bolts = match &early {
                Ok(course) => course.ending == Ending::Bolts,
                Err(failure) => matches!(failure, Failure::Bolts { .. }),
            };
            assert!(bolts, "{station}, W{number}: {early:?}");
        }
    }
}

#[test]
fn january_lettuce_needs_lamps() {
    for station in MILD {
        let scenario = garden(station);
        let grower = Grower::new(&scenario);
        let id = garden::crop(&scenario, "summer lettuce");
        let sown = week(2027, 1);
        let lettuce = course(&grower, &scenario, "summer lettuce", "heads", sown, TUNNEL).unwrap();
        assert!(
            (week(2027, 12)..=week(2027, 18)).contains(&lettuce.first),
            "{station}: {lettuce:?}"
        );
        // Without lamps that is too early: it never gets fit to plant; a month later it does.
        let unlit = grower.shelf_weeks(id, 0, false, sown);
        assert!(
            matches!(unlit, Err(Failure::TooSlowOnShelf { .. })),
            "{unlit:?}"
        );
        assert!(grower.shelf_weeks(id, 0, false, week(2027, 7)).is_ok());
    }
}

#[test]
fn july_potatoes_are_new_potatoes_from_december_to_april() {
    for station in MILD {
        let scenario = garden(station);
        let grower = Grower::new(&scenario);
        for number in [28, 29, 30] {
            let sown = week(2027, number);
            let name = "late-planted potatoes";
            let potatoes = course(&grower, &scenario, name, "tubers", sown, TUNNEL).unwrap();
            assert!(potatoes.first <= week(2027, 49), "W{number}: {potatoes:?}");
            assert!(potatoes.last >= week(2028, 14), "W{number}: {potatoes:?}");
        }
    }
}

/// Weeks of the year in which a crop can be eaten: in the ground or in store.
fn eaten(grower: &Grower, scenario: &Scenario, name: &str, place: Place) -> BTreeSet<u32> {
    let id = garden::crop(scenario, name);
    let mut weeks = BTreeSet::new();
    for sown in (0..52).map(|k| week(2027, 1).plus(k)) {
        for way in &scenario.crops[id].ways {
            let Ok(course) = course(grower, scenario, name, &way.name, sown, place) else {
                continue;
            };
            let last = course.last.plus(way.keeps_weeks as i32);
            let kept = (0..=last.since(course.first)).map(|k| course.first.plus(k));
            weeks.extend(kept.map(|week| week.of_year().number()));
        }
    }
    weeks
}

#[test]
fn carrots_all_year_from_four_kinds_of_sowing_the_first_from_the_tunnel_in_may() {
    for station in MILD {
        let scenario = garden(station);
        let grower = Grower::new(&scenario);
        let firsts: Vec<Week> = (2..=6)
            .filter_map(|number| {
                let sown = week(2027, number);
                course(
                    &grower,
                    &scenario,
                    "early tunnel carrots",
                    "roots",
                    sown,
                    TUNNEL,
                )
                .ok()
            })
            .map(|course| course.first)
            .collect();
        let first = firsts.iter().min().unwrap();
        assert!(
            (week(2027, 17)..=week(2027, 22)).contains(first),
            "{station}: {first}"
        );
        let mut all = BTreeSet::new();
        for (name, place) in [
            ("overwintered carrots", TUNNEL),
            ("early carrots", OPEN),
            ("main carrots", OPEN),
            ("winter carrots", OPEN),
        ] {
            all.extend(eaten(&grower, &scenario, name, place));
        }
        let missing: Vec<u32> = (1..=52).filter(|w| !all.contains(w)).collect();
        assert!(missing.is_empty(), "{station}: no carrots in {missing:?}");
    }
}

#[test]
fn squash_and_onions_in_store_bridge_the_winter() {
    for station in MILD {
        let scenario = garden(station);
        let grower = Grower::new(&scenario);
        for (name, way_name, sown, from, until) in [
            ("squash", "fruits", 17, week(2027, 42), week(2028, 5)),
            (
                "onions from sets",
                "bulbs",
                12,
                week(2027, 38),
                week(2028, 8),
            ),
            (
                "onions from seed",
                "bulbs",
                6,
                week(2027, 40),
                week(2028, 10),
            ),
        ] {
            let sown = week(2027, sown);
            let course = course(&grower, &scenario, name, way_name, sown, OPEN).unwrap();
            let id = garden::crop(&scenario, name);
            let way = &scenario.crops[id].ways[garden::way(&scenario, id, way_name)];
            let end = course.last.plus(way.keeps_weeks as i32);
            assert!(course.first <= from, "{station}, {name}: {course:?}");
            assert!(end >= until, "{station}, {name}: keeps until {end}");
            // More than half of it is still good then.
            let left = (1.0 - way.weekly_loss).powi(until.since(course.first));
            assert!(left > 0.5, "{name}: {left:.2}");
        }
    }
}

#[test]
fn a_main_course_salad_is_two_litres_of_leaves() {
    // Two adults eating ten to eleven such salads a week need about 20 litres.
    // In leaves of the shipped density that is two to three portions of 80 g (five-a-day
    // portion as quoted; loose leaves 85 to 152 g a litre, USDA values as quoted, whole
    // young leaves less).
    let scenario = garden(MILD[0]);
    let food = scenario.foods.iter().position(|f| f.name == "salad leaves");
    for crop in &scenario.crops {
        for way in crop.ways.iter().filter(|way| Some(way.food) == food) {
            let portions = 2.0 * way.kg_per_unit / 0.08;
            assert!((1.9..=3.1).contains(&portions), "{}: {portions}", crop.name);
        }
    }
    // 20 litres a week of mid spring are within reach of two tunnel borders of autumn leaves.
    let grower = Grower::new(&scenario);
    let weekly_l: f64 = ["mizuna", "winter lettuce"]
        .into_iter()
        .map(|name| {
            let way = ["young leaves", "leaves"][usize::from(name != "mizuna")];
            let course = course(&grower, &scenario, name, way, week(2026, 36), TUNNEL).unwrap();
            4.8 * taken_between(&course, week(2027, 8), week(2027, 11)) / 4.0
        })
        .sum();
    assert!((14.0..=40.0).contains(&weekly_l), "{weekly_l:.1} l a week");
}

#[test]
fn early_lettuces_make_room_for_brassicas_and_those_for_tomatoes() {
    for station in MILD {
        let scenario = garden(station);
        let grower = Grower::new(&scenario);
        // Tunnel lettuces of autumn can be thinned (whole heads) from mid February at the latest.
        let winter_lettuce = garden::crop(&scenario, "winter lettuce");
        let sown = week(2026, 36);
        let lettuce = course(&grower, &scenario, "winter lettuce", "leaves", sown, TUNNEL).unwrap();
        let february = taken_between(&lettuce, week(2027, 7), week(2027, 16));
        assert!(
            lettuce.first <= week(2027, 7) && february > 0.0,
            "{station}: {lettuce:?}"
        );
        // Young cabbages raised under lamps go in from mid February ...
        let id = garden::crop(&scenario, "summer cabbage");
        let sown = week(2027, 2);
        let beginning = begin(&grower, &scenario, id, Method::Modules, sown).unwrap();
        assert!(
            (week(2027, 6)..=week(2027, 10)).contains(&beginning.planted),
            "{beginning:?}"
        );
        let cabbage = grower
            .course(&beginning, 0, &|_| TUNNEL, week(2027, 40))
            .unwrap();
        // ... among what is left of the lettuces, have the bed to themselves by May, ...
        let relay = (scenario.recipes.iter())
            .find(|r| r.first.crop == winter_lettuce && r.second.crop == id)
            .expect("cabbages among winter lettuce is a recipe");
        let together = |weeks: u32| beginning.planted.plus(weeks as i32);
        let alone = together(relay.min_overlap_weeks)..=together(relay.max_overlap_weeks);
        assert!(
            *alone.start() <= week(2027, 17) && *alone.end() >= week(2027, 14),
            "{station}: {alone:?}"
        );
        assert!(taken_between(&lettuce, beginning.planted, *alone.start()) > 0.0);
        // ... fill it then and are cut in time for tomatoes in its second half.
        assert!(
            (week(2027, 17)..=week(2027, 21)).contains(&cabbage.first),
            "{station}: {cabbage:?}"
        );
        let id = garden::crop(&scenario, "tunnel tomatoes");
        let sown = week(2027, 12);
        let (fit, latest) = grower.shelf_weeks(id, 0, true, sown).unwrap();
        let planted = week(2027, 21);
        assert!(fit <= planted && planted <= latest, "{fit} to {latest}");
        let beginning = Beginning {
            crop: id,
            raising: Some(0),
            lit: true,
            sown,
            planted,
            ready_by: None,
        };
        let tomatoes = grower
            .course(&beginning, 0, &|_| TUNNEL, week(2028, 10))
            .unwrap();
        assert!(tomatoes.first <= week(2027, 32), "{station}: {tomatoes:?}");
    }
}

#[test]
fn covers_are_vented_in_their_season_and_off_in_summer() {
    for station in MILD {
        let scenario = garden(station);
        let sky = Sky::of(&scenario.climate);
        for cover in &scenario.covers {
            let place = beneath(&scenario, &cover.name);
            for index in 0..366 {
                let date = date_of_index(index);
                let (open, under) = (sky.day(date), weather_at(&scenario, &sky, date, place));
                // Vented it is never hotter than it may be, unless the open air is.
                assert!(under.tmax_c <= cover.effect.vented_above_c.max(open.tmax_c) + 1e-9);
                let week = Week::of(date).of_year();
                let on = cover.spells.iter().any(|spell| spell.contains(week));
                // Left closed from June to mid September it would be too hot for the leaves
                // beneath it on the mean day; in midwinter it would not need its vents.
                let closed = open.tmax_c
                    + cover.effect.day_lift_c_per_mj * open.light_mj * cover.effect.transmission;
                if (22..=36).contains(&week.number()) {
                    assert!(closed > 26.0 && !on, "{station}, {}, {week}", cover.name);
                }
                if week.number() >= 49 || week.number() <= 3 {
                    assert!(
                        closed < cover.effect.vented_above_c,
                        "{}, {week}",
                        cover.name
                    );
                    assert!(on, "{}, {week}", cover.name);
                }
            }
        }
    }
}
