package boiler
