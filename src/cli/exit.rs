//! What the process says by its exit code.

use std::process::ExitCode;

use crate::{Plan, Rota};

/// The exit codes and their meanings; they are part of the interface.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum Exit {
    /// 0: every device has a berth and none is late; the setup has no fault; the plan
    /// is legal and its numbers are right; what was asked for was printed.
    Done,
    /// 1: there is a plan, but a device is late or has no berth; or `verify` refuses
    /// the plan, or what is scored breaks a rule.
    NotServed,
    /// 2: the input has faults, cannot be read, or the usage is wrong.
    BadInput,
    /// 3: through no fault of the input there is no answer, or it could not be
    /// written.
    Failed,
    /// 130: stopped, by Ctrl-C or by a limit, before there was any plan; of a stream,
    /// before its last line.
    Interrupted,
}

impl Exit {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Done,
        Self::NotServed,
        Self::BadInput,
        Self::Failed,
        Self::Interrupted,
    ];

    /// That of an answer with so many devices without a berth, and so many late.
    pub(super) const fn of(unserved: usize, late: usize) -> Self {
        Self::served(unserved == 0 && late == 0)
    }

    /// That of a plan: late is who is late by what the plan was chosen by.
    pub(super) fn of_plan(plan: &Plan) -> Self {
        Self::served(plan.serves_all())
    }

    /// The same of a rota.
    pub(super) fn of_rota(rota: &Rota) -> Self {
        Self::served(rota.serves_all())
    }

    /// That of an answer in which every device is served in time, or not.
    pub(super) const fn served(all: bool) -> Self {
        if all { Self::Done } else { Self::NotServed }
    }

    /// What it means, in words, broken into lines of the help.
    pub(super) const fn meaning(self) -> &'static str {
        match self {
            Self::Done => {
                "every device has a berth, and none is late; or what was asked for is fine"
            }
            Self::NotServed => {
                "a plan, but not all are served in time; `verify` refuses, or a rule is\n\
                 broken in what is scored"
            }
            Self::BadInput => "bad input or usage",
            Self::Failed => {
                "the answer could not be given or written, through no fault of the input"
            }
            Self::Interrupted => "stopped before there was any plan; `batch`: before the last line",
        }
    }

    /// All of them, as the help lists them.
    pub(super) fn help() -> String {
        let each = Self::ALL.iter().map(|exit| {
            let meaning = exit.meaning().replace('\n', "\n       ");
            format!("\n  {:<4} {meaning}", exit.code())
        });
        format!("Exit codes:{}", each.collect::<String>())
    }

    /// The number.
    pub const fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::NotServed => 1,
            Self::BadInput => 2,
            Self::Failed => 3,
            // 128 + 2, the number of the interrupt signal, as shells count.
            Self::Interrupted => 130,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}
