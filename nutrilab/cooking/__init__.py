"""What leaves and enters between raw weights and the plate: physical steps, factors, and the stage using them."""

from nutrilab.cooking.stage import StageResult, cook_stage
from nutrilab.cooking.weight import WeightFrom

__all__ = ["StageResult", "WeightFrom", "cook_stage"]
