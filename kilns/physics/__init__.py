"""The science of drying kilns: schedules, heat, air, sun, water and load, with no Django, no database, no clock."""
