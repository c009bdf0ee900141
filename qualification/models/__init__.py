"""Models of the lower app, one file per noun."""

from qualification.models.audit import AuditEntry
from qualification.models.coupon_records import CouponRecord, ProcedureTest, WelderTest
from qualification.models.record import FrozenRecord, Record, State, UnitSystem
from qualification.models.shop import Shop
from qualification.models.table_check import HouseRule, OwnerKind, TableCheck
from qualification.models.trial import (
    LogState,
    Origin,
    Purpose,
    Trial,
    TrialLog,
    TrialPass,
    TrialPhoto,
    Verdict,
)
from qualification.models.validity_act import ActKind, ValidityAct
from qualification.models.welder import ProcessUse, Welder

__all__ = [
    "ActKind",
    "AuditEntry",
    "CouponRecord",
    "FrozenRecord",
    "HouseRule",
    "LogState",
    "Origin",
    "OwnerKind",
    "ProcedureTest",
    "ProcessUse",
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
    "Verdict",
    "Welder",
    "WelderTest",
]
