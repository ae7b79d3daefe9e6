"""x"""
WITHOUT = {}
