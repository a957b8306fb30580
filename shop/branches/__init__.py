"""Where an order leaves the straight way: copied data, a comeback, a wrong device, a bad battery, our own damage."""
