"""What a driver, its box and its port do to sound: lumped models, good to a few hundred hertz."""
