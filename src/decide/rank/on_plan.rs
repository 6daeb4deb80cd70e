//! The plans of a ranking, handed over as they are made.

use std::fmt;
use std::sync::Arc;

use crate::plan::Plan;

/// The plan of one kit of a ranking.
#[derive(Debug, Clone, Copy)]
#[non_exhaustive]
pub struct KitPlan<'a> {
    /// The candidates of the kit: indices into those that were given, as
    /// [`Ranked::members`](crate::Ranked::members).
    pub members: &'a [usize],
    /// Its plan, which is one of [`Bag::with_kit`](crate::Bag::with_kit).
    pub plan: &'a Plan,
}

/// Called with the plan of every kit that a ranking plans, as soon as it is made and checked.
///
/// It is called from any of the threads, in no order, and the ranking waits for it there. Nothing
/// is kept of a plan but what [`RankOptions::plans`](crate::RankOptions::plans) asks for: with
/// [`RankOptions::top`](crate::RankOptions::top) the memory does not grow with the plans. Which
/// kits are planned does not depend on the threads. Whoever wants all of them leaves
/// [`RankOptions::bound`](crate::RankOptions::bound) out.
///
/// ```
/// use std::sync::{Arc, Mutex};
/// use wattberth::{Bag, Candidate, Charger, OnKitPlan, Port, RankOptions, rank_with};
///
/// let bag = Bag::from_json(
///     r#"{"cables": [{"name": "braided", "count": 2}],
///         "devices": [{"name": "laptop", "pd_w": 65, "battery_wh": 56},
///                     {"name": "phone", "pd_w": 18, "battery_wh": 15}]}"#,
/// )?;
/// let cube = |pd_w: f64| Charger::new(format!("cube {pd_w} W")).port(Port::pd("C1", pd_w));
/// let candidates = [30.0, 65.0].map(|pd_w| Candidate::from(cube(pd_w)));
/// let watts = Arc::new(Mutex::new(vec![0.0; candidates.len()]));
/// let mut options = RankOptions::default();
/// options.on_plan = Some(OnKitPlan::new({
///     let watts = Arc::clone(&watts);
///     move |kit| {
///         let all = kit.plan.berths.iter().map(|berth| berth.port_w).sum();
///         watts.lock().expect("no panic")[kit.members[0]] = all;
///     }
/// }));
/// rank_with(&bag, &candidates, &options, |_| ())?;
/// let watts = watts.lock().expect("no panic");
/// assert!(0.0 < watts[0] && watts[0] < watts[1]);
/// # Ok::<(), wattberth::Error>(())
/// ```
#[derive(Clone)]
pub struct OnKitPlan(Arc<Callback>);

type Callback = dyn Fn(KitPlan<'_>) + Send + Sync;

impl OnKitPlan {
    /// Calls `handed`, which should be quick.
    pub fn new(handed: impl Fn(KitPlan<'_>) + Send + Sync + 'static) -> Self {
        Self(Arc::new(handed))
    }

    pub(super) fn hand_over(&self, members: &[usize], plan: &Plan) {
        (self.0)(KitPlan { members, plan });
    }
}

impl fmt::Debug for OnKitPlan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("OnKitPlan")
    }
}
