"""Gathers the rooms' models for Django. Rooms never import this file."""

from household.areas.models import Area, Spotlight
from household.breathers.models import Breather, Offer
from household.chores.models import Chore, Entry, Hidden, Swap, Task
from household.devices.models import Code, Device, Notice, Tries
from household.feeds.models import BusyEvent, Feed, Subscription
from household.helpers.models import Comment, HelperList, HouseNote, ListedTask
from household.occasions.models import Gift, LeadJob, LeadTask, Occasion, OccasionSettings
from household.people.models import Absence, Account, Household, Member
from household.requests.models import (
    Estimate,
    HelpSettings,
    Photo,
    Reminding,
    Request,
    RequestEvent,
)
from household.requests.outside_models import Appliance, Outsider
from household.week.models import MonthNote, WeekPlan

__all__ = [
    "Absence",
    "Account",
    "Appliance",
    "Area",
    "Breather",
    "BusyEvent",
    "Chore",
    "Code",
    "Comment",
    "Device",
    "Entry",
    "Estimate",
    "Feed",
    "Gift",
    "HelpSettings",
    "HelperList",
    "Hidden",
    "HouseNote",
    "Household",
    "LeadJob",
    "LeadTask",
    "ListedTask",
    "Member",
    "MonthNote",
    "Notice",
    "Occasion",
    "OccasionSettings",
    "Offer",
    "Outsider",
    "Photo",
    "Reminding",
    "Request",
    "RequestEvent",
    "Spotlight",
    "Subscription",
    "Swap",
    "Task",
    "Tries",
    "WeekPlan",
]
