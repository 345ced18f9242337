"""Gathers the rooms' models for Django. Rooms never import this file."""

from household.areas.models import Area, Spotlight
from household.chores.models import Chore, Entry, Task
from household.devices.models import Code, Device, Notice, Tries
from household.people.models import Absence, Account, Household, Member

__all__ = [
    "Absence",
    "Account",
    "Area",
    "Chore",
    "Code",
    "Device",
    "Entry",
    "Household",
    "Member",
    "Notice",
    "Spotlight",
    "Task",
    "Tries",
]
