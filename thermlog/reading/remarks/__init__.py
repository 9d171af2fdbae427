"""What remarks in free words say: of sights, heat, wheels and work, in all languages."""
