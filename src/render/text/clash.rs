//! Musts that cannot all be kept, in the user's words.

use super::lines::{amount, wrap};
use crate::explain::{Clash, Demand, Limit, Proof};

/// What clashes. `place` tells where a must, or a key of the scenario, stands.
pub fn clash(
    name: &str,
    clash: &Clash,
    of_demand: impl Fn(&Demand) -> Option<String>,
    of_limit: impl Fn(&Limit) -> Option<String>,
) -> String {
    let mut out = wrap(
        "",
        &format!("there is no plan for {name} that keeps every must"),
    );
    let at = |place: Option<String>| place.map_or(String::new(), |place| format!(" ({place})"));
    out += match clash.smallest {
        true => "  These clash; without any one of them the others can be kept:\n",
        false => "  These clash; not proven smallest, for a limit of the search was reached:\n",
    };
    for demand in &clash.demands {
        let weeks = match demand.from == demand.to {
            true => format!("in {}", demand.from),
            false => format!("in each week from {} to {}", demand.from, demand.to),
        };
        let text = format!(
            "must: {} {} of {} {weeks}{}",
            amount(demand.floor),
            demand.unit,
            demand.food,
            at(of_demand(demand))
        );
        out += &wrap("  - ", &text);
    }
    for limit in &clash.limits {
        let text = format!("limit: {}{}", limit.words, at(of_limit(limit)));
        out += &wrap("  - ", &text);
    }
    if !clash.ready {
        out += &wrap(
            "  - ",
            "time: there is a week in which nothing that may be sown, stands or is in store is ready, \
             whatever the limits",
        );
    }
    let by = match clash.proof {
        Proof::Prices => "the bound at prices",
        Proof::Exact => "the exact search",
    };
    out += &wrap(
        "  proven: ",
        &format!(
            "every plan misses at least {} of the {} weeks' musts (by {by})",
            amount(clash.missed),
            clash.of
        ),
    );
    out += &wrap(
        "  help: ",
        "lower one of these floors, take its must out or shorten its weeks, or raise one of the limits",
    );
    out
}
