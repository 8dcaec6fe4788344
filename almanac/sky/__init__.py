"""The sky of a year: places, crossings, phases. No decisions are taken here."""
