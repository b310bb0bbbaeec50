# What an installation holds.
