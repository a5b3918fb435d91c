"""risk"""
