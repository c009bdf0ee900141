"""Models of the lower app, one file per noun."""

from qualification.models.audit import AuditEntry
from qualification.models.change_mark import ChangeMark
from qualification.models.code_decision import CodeDecision
from qualification.models.coupon_records import CouponRecord, ProcedureTest, WelderTest
from qualification.models.kept_standings import KeptStandings
from qualification.models.own_edition import OwnEdition
from qualification.models.passkey import Passkey
from qualification.models.password_due import PasswordDue
from qualification.models.quiet_check import QuietCheck
from qualification.models.record import FrozenRecord, Record, State, UnitSystem
from qualification.models.shop import Shop
from qualification.models.table_check import HouseRule, OwnerKind, TableCheck
from qualification.models.trial import (
    LogState,
    Origin,
    PhotoShows,
    Purpose,
    Trial,
    TrialLog,
    TrialPass,
    TrialPhoto,
    TrialVerdict,
)
from qualification.models.validity_act import ActKind, ValidityAct
from qualification.models.welder import ProcessUse, Welder

__all__ = [
    "ActKind",
    "AuditEntry",
    "ChangeMark",
    "CodeDecision",
    "CouponRecord",
    "FrozenRecord",
    "HouseRule",
    "KeptStandings",
    "LogState",
    "Origin",
    "OwnerKind",
    "OwnEdition",
    "Passkey",
    "PasswordDue",
    "PhotoShows",
    "ProcedureTest",
    "ProcessUse",
    "QuietCheck",
    "Purpose",
    "Record",
    "Shop",
    "State",
    "TableCheck",
    "Trial",
    "TrialLog",
    "TrialPass",
    "TrialPhoto",
    "UnitSystem",
    "ValidityAct",
    "TrialVerdict",
    "Welder",
    "WelderTest",
]
